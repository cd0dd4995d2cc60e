import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import { makeValley } from '../../src/demo/valley.js';
import { openMaster } from '../../src/master/open.js';
import { type Pixels, pixels } from '../../src/master/pixels.js';

/** The demo master, made small. */
export async function valley(width: number): Promise<Pixels> {
  const folder = mkdtempSync(path.join(tmpdir(), 'orbreel-valley-'));
  try {
    const file = path.join(folder, 'valley.jpg');
    await makeValley({ width, file });
    return await openMaster(file);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/** Milliseconds that a test with `softValley` may take on a busy machine. */
export const SLOW = 900_000;

/** The demo master as it is delivered, shrunk from eight times the size: that takes a minute or two. */
export async function softValley(width: number): Promise<Pixels> {
  const { width: across, height, data } = await valley(8 * width);
  const raw = { width: across, height, channels: 3 } as const;
  const shrunk = await sharp(data, { raw })
    .resize(width, width / 2)
    .raw()
    .toBuffer();
  return pixels(width, width / 2, new Uint8Array(shrunk));
}
