import type { Pixels } from '../../src/master/pixels.js';

/**
 * A master of plain patches 45 degrees wide and high, centred on multiples of 45 degrees, with one
 * patch round each pole. Each has a colour of its own, by which it can be named.
 */
const WIDTH = 512;
const HEIGHT = 256;

const names = ['zenith', 'nadir'];
for (const latitude of [-45, 0, 45]) {
  for (let longitude = -135; longitude <= 180; longitude += 45)
    names.push(`${longitude},${latitude}`);
}

const colourOf = (index: number): readonly [number, number, number] => [
  (index % 3) * 120,
  (Math.floor(index / 3) % 3) * 120,
  Math.floor(index / 9) * 120,
];

function nameAt(longitude: number, latitude: number): string {
  const row = Math.round(latitude / 45) * 45;
  if (row === 90) return 'zenith';
  if (row === -90) return 'nadir';
  const column = Math.round(longitude / 45) * 45;
  return `${column === -180 ? 180 : column},${row === 0 ? 0 : row}`;
}

function paint(): Pixels {
  const data = new Uint8Array(WIDTH * HEIGHT * 3);
  for (let y = 0; y < HEIGHT; y++) {
    for (let x = 0; x < WIDTH; x++) {
      const name = nameAt(((x + 0.5) / WIDTH - 0.5) * 360, (0.5 - (y + 0.5) / HEIGHT) * 180);
      data.set(colourOf(names.indexOf(name)), (y * WIDTH + x) * 3);
    }
  }
  return { width: WIDTH, height: HEIGHT, depth: 8, data };
}

export const patchwork = {
  pixels: paint(),
  /** The name of the patch whose colour `rgba` begins with: `zenith`, `nadir` or `longitude,latitude`. */
  nameOf(rgba: Uint8Array): string {
    const [r, g, b] = rgba;
    const index = names.findIndex((_, i) => {
      const [pr, pg, pb] = colourOf(i);
      return pr === r && pg === g && pb === b;
    });
    return names[index] ?? `no patch (${r}, ${g}, ${b})`;
  },
};
