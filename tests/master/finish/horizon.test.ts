import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, expect, it, vi } from 'vitest';
import { horizonOf } from '../../../src/master/finish/horizon.js';
import { photo } from '../complete/photos.js';

// Perl starts slowly on a busy machine.
vi.setConfig({ testTimeout: 120_000 });

const folder = mkdtempSync(join(tmpdir(), 'orbreel-lean-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

it('tells no lean of a picture that is to be turned on its side, which squeezes its buildings', async () => {
  const { width, height, rgb } = await photo('city');
  const stored = sharp(rgb, { raw: { width, height, channels: 3 } });
  const file = (orientation: number) => join(folder, `${orientation}.jpg`);
  for (const orientation of [1, 6]) {
    await stored.clone().withMetadata({ orientation }).jpeg().toFile(file(orientation));
  }
  expect((await horizonOf(file(1)))?.confidence).toBeGreaterThan(0.75);
  expect(await horizonOf(file(6))).toBeUndefined();
});
