import { newSamples, type Pixels, pixels } from '../../pixels.js';

/**
 * The picture reduced to `width` by averages of coded values; as it is when it is no wider. Coded values,
 * since edges are to count as the eye sees them.
 */
export function shrink(picture: Pixels, width: number): Pixels {
  if (picture.width <= width) return picture;
  const height = Math.round((width * picture.height) / picture.width);
  const out = newSamples(picture.depth, width * height * 3);
  const { data, width: from } = picture;
  for (let y = 0; y < height; y++) {
    const top = Math.floor((y * picture.height) / height);
    const bottom = Math.floor(((y + 1) * picture.height) / height);
    for (let x = 0; x < width; x++) {
      const left = Math.floor((x * from) / width);
      const right = Math.floor(((x + 1) * from) / width);
      const count = (bottom - top) * (right - left);
      for (let c = 0; c < 3; c++) {
        let sum = 0;
        for (let v = top; v < bottom; v++) {
          for (let u = left; u < right; u++) sum += data[3 * (v * from + u) + c]!;
        }
        out[3 * (y * width + x) + c] = Math.round(sum / count);
      }
    }
  }
  return pixels(width, height, out);
}
