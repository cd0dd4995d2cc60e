import { type Pixels, pixels } from '../../src/master/pixels.js';

/**
 * Rings of full contrast round three axes, one for each colour, ever finer, to four texels a ring:
 * the hardest picture to shrink without shimmer.
 */
export function zonePlate(width: number): Pixels {
  const height = width / 2;
  const data = new Uint8Array(width * height * 3);
  // The phase k a^2 grows by 2 k a a radian: at a = pi by pi / 2 a texel.
  const pace = width / (8 * Math.PI);
  for (let i = 0; i < width * height; i++) {
    const longitude = (((i % width) + 0.5) / width - 0.5) * 2 * Math.PI;
    const latitude = (0.5 - (Math.floor(i / width) + 0.5) / height) * Math.PI;
    const axes = [
      Math.sin(longitude) * Math.cos(latitude),
      Math.sin(latitude),
      -Math.cos(longitude) * Math.cos(latitude),
    ];
    for (const [channel, axis] of axes.entries()) {
      const angle = Math.acos(Math.min(1, Math.max(-1, axis)));
      data[i * 3 + channel] = Math.round(127.5 + 127.5 * Math.cos(pace * angle * angle));
    }
  }
  return pixels(width, height, data);
}
