import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { makeValley } from '../../src/demo/valley.js';
import { openMaster } from '../../src/master/open.js';
import type { Pixels } from '../../src/master/pixels.js';

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
