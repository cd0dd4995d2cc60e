import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { encodeSrgb } from '../../src/colour.js';
import type { Pixels } from '../../src/master/pixels.js';

/** Real spherical photographs of npm's `@pmndrs/assets` (CC0), 512x256, half-float EXR. */
export type PhotoName =
  | 'dawn'
  | 'park'
  | 'sunset'
  | 'forest'
  | 'city'
  | 'bridge'
  | 'sky'
  | 'sunrise';

const WIDTH = 512;
const HEIGHT = 256;

/** Decodes a photograph (ffmpeg reads its compression) and tones it down to 8 bits sRGB. */
export async function photo(name: PhotoName): Promise<Pixels> {
  const { default: uri } = (await import(`@pmndrs/assets/hdri/${name}.exr.js`)) as {
    default: string;
  };
  const exr = Buffer.from(uri.slice(uri.indexOf(',') + 1), 'base64');
  const folder = mkdtempSync(path.join(tmpdir(), 'orbreel-photo-'));
  // ffmpeg's EXR reader wants a file, not a pipe.
  const file = path.join(folder, `${name}.exr`);
  writeFileSync(file, exr);
  const raw = execFileSync(
    process.env.FFMPEG_BIN ?? 'ffmpeg',
    ['-v', 'error', '-i', file, '-f', 'rawvideo', '-pix_fmt', 'gbrpf32le', '-'],
    { maxBuffer: 2 ** 24 },
  );
  rmSync(folder, { recursive: true });
  const planes = new Float32Array(raw.buffer.slice(raw.byteOffset, raw.byteOffset + raw.length));
  const count = WIDTH * HEIGHT;
  const data = new Uint8Array(count * 3);
  // Planes come as green, blue, red.
  for (const [channel, plane] of [2, 0, 1].entries()) {
    for (let i = 0; i < count; i++) data[i * 3 + channel] = toneDown(planes[plane * count + i]!);
  }
  return { width: WIDTH, height: HEIGHT, depth: 8, data };
}

/** Values run from slightly negative to tens of thousands. */
function toneDown(light: number): number {
  const clamped = Number.isFinite(light) ? Math.min(1e4, Math.max(0, light)) : 1e4;
  return Math.round(255 * encodeSrgb(Math.min(1, (1.6 * clamped) / (1 + clamped))));
}
