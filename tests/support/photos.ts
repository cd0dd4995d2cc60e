import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { encodeSrgb } from '../../src/colour.js';
import type { Pixels } from '../../src/master/pixels.js';

/** Some of the real spherical photographs of npm's `@pmndrs/assets` 1.7.0, hdri/NAME.exr (CC0). */
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

/** Linear light, row by row; from slightly negative to tens of thousands. */
export interface Light {
  readonly width: number;
  readonly height: number;
  readonly red: Float32Array;
  readonly green: Float32Array;
  readonly blue: Float32Array;
}

/** Decodes a photograph, 512x256 half floats; ffmpeg reads its compression. */
export async function readLight(name: string): Promise<Light> {
  const { default: uri } = (await import(`@pmndrs/assets/hdri/${name}.exr.js`)) as {
    default: string;
  };
  const folder = mkdtempSync(path.join(tmpdir(), 'orbreel-photo-'));
  try {
    // ffmpeg's EXR reader wants a file, not a pipe.
    const file = path.join(folder, `${name}.exr`);
    writeFileSync(file, Buffer.from(uri.slice(uri.indexOf(',') + 1), 'base64'));
    const raw = execFileSync(
      process.env.FFMPEG_BIN ?? 'ffmpeg',
      ['-v', 'error', '-i', file, '-f', 'rawvideo', '-pix_fmt', 'gbrpf32le', '-'],
      { maxBuffer: 2 ** 24 },
    );
    const count = WIDTH * HEIGHT;
    if (raw.length !== count * 12) throw new Error(`${name}: ffmpeg gave ${raw.length} bytes`);
    const planes = new Float32Array(raw.buffer.slice(raw.byteOffset, raw.byteOffset + raw.length));
    const [green, blue, red] = [0, 1, 2].map((plane) =>
      planes.subarray(plane * count, (plane + 1) * count),
    ) as [Float32Array, Float32Array, Float32Array];
    return { width: WIDTH, height: HEIGHT, red, green, blue };
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/** A photograph toned down to 8 bits sRGB. */
export async function photo(name: PhotoName): Promise<Pixels> {
  const { width, height, red, green, blue } = await readLight(name);
  const data = new Uint8Array(width * height * 3);
  for (const [channel, plane] of [red, green, blue].entries()) {
    for (let i = 0; i < plane.length; i++) data[i * 3 + channel] = toneDown(plane[i]!);
  }
  return { width, height, depth: 8, data };
}

function toneDown(light: number): number {
  const clamped = Number.isFinite(light) ? Math.min(1e4, Math.max(0, light)) : 1e4;
  return Math.round(255 * encodeSrgb(Math.min(1, (1.6 * clamped) / (1 + clamped))));
}
