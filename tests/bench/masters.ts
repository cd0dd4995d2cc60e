import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import sharp from 'sharp';

const EXAMPLE = fileURLToPath(new URL('../../examples/valley.jpg', import.meta.url));
const EXAMPLE_WIDTH = 8192;
const SYNTHETIC_WIDTH = 2048;

/** Gives JPEG masters of any width: the example at its own, else enlarged or reduced from it. */
export function createMasters(folder: string): (width: number) => Promise<string> {
  const made = new Map<number, Promise<string>>();
  const make = async (width: number): Promise<string> => {
    const hasExample = existsSync(EXAMPLE);
    if (hasExample && width === EXAMPLE_WIDTH) return EXAMPLE;
    const file = join(folder, `master-${width}.jpg`);
    const source = hasExample ? sharp(EXAMPLE) : synthetic();
    const size = { width, height: width / 2, fit: 'fill', kernel: 'linear' } as const;
    await source.resize(size).jpeg({ quality: 90 }).toFile(file);
    return file;
  };
  return (width) => {
    const master = made.get(width) ?? make(width);
    made.set(width, master);
    return master;
  };
}

/** Waves of all lengths, so that a JPEG of it is about as large as a photograph's. */
function synthetic() {
  const [width, height] = [SYNTHETIC_WIDTH, SYNTHETIC_WIDTH / 2];
  const data = new Uint8Array(width * height * 3);
  for (let i = 0; i < data.length; i++) {
    const [x, y, c] = [Math.floor(i / 3) % width, Math.floor(i / 3 / width), i % 3];
    const wave = (period: number) => Math.sin((x * (c + 1)) / period) * Math.cos(y / period);
    data[i] = 128 + 40 * wave(90) + 40 * wave(17) + 30 * wave(2.3);
  }
  return sharp(data, { raw: { width, height, channels: 3 } });
}
