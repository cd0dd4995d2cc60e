import type { Direction } from '../../../src/master/complete/sphere.js';
import { directionOf, type Photo } from './photos.js';

/** A colour in each direction. */
export type Scene = (d: Direction) => readonly [number, number, number];

/** Draws a scene as a sphere of 8 bits: the mean of 16 rays a pixel, and a little grain that is always the same. */
export function drawScene(width: number, scene: Scene): Photo {
  const height = width / 2;
  const rgb = new Uint8Array(3 * width * height);
  for (let i = 0; i < width * height; i++) {
    const sum = [0, 0, 0];
    for (let k = 0; k < 16; k++) {
      const x = (i % width) + ((k & 3) + 0.5) / 4;
      const y = Math.floor(i / width) + ((k >> 2) + 0.5) / 4;
      const colour = scene(directionOf((x / width - 0.5) * 360, (0.5 - y / height) * 180));
      for (let c = 0; c < 3; c++) sum[c]! += colour[c]! / 16;
    }
    const grain = (((Math.imul(i, 0x9e3779b1) >>> 8) % 1000) / 1000 - 0.5) * 4;
    for (let c = 0; c < 3; c++) rgb[3 * i + c] = Math.round(sum[c]! + grain);
  }
  return { width, height, rgb };
}

/** An invented room of flat colours around the camera, in metres. */
export const ROOM = { left: -3, right: 4, floor: -1.6, ceiling: 1.2, front: -4, back: 3 };

const COLOURS = {
  left: [170, 120, 90],
  right: [110, 130, 170],
  floor: [105, 80, 60],
  ceiling: [215, 205, 190],
  front: [90, 140, 100],
  back: [160, 150, 110],
} as const;

/** Looks at the room: of what lies ahead along each axis, the nearest is seen. */
export const room: Scene = ([x, y, z]) => {
  const ahead = [
    { face: x < 0 ? 'left' : 'right', speed: x / (x < 0 ? ROOM.left : ROOM.right) },
    { face: y < 0 ? 'floor' : 'ceiling', speed: y / (y < 0 ? ROOM.floor : ROOM.ceiling) },
    { face: z < 0 ? 'front' : 'back', speed: z / (z < 0 ? ROOM.front : ROOM.back) },
  ] as const;
  return COLOURS[ahead.reduce((a, b) => (b.speed > a.speed ? b : a)).face];
};
