import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterEach, beforeEach } from 'vitest';

export const tag = (file: string, ...edits: string[]): void => {
  execFileSync('exiftool', ['-q', '-overwrite_original', ...edits, file]);
};

/** All tags of a file by group and name, as ExifTool, run by itself, reads them. */
export function tagsOf(file: string): Record<string, unknown> {
  const words = ['-json', '-n', '-G1', '-a', file];
  return JSON.parse(execFileSync('exiftool', words, { encoding: 'utf8' }))[0];
}

/** A folder of its own for each test. */
export function ownFolder() {
  let path = '';
  beforeEach(() => {
    path = mkdtempSync(join(tmpdir(), 'orbreel-finish-'));
  });
  afterEach(() => rmSync(path, { recursive: true }));
  return (name: string) => join(path, name);
}

export const picture = (width: number, rgb: Uint8Array | Uint16Array) =>
  sharp(rgb, { raw: { width, height: rgb.length / width / 3, channels: 3 } });
