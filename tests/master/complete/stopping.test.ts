import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { Interrupted } from '../../../src/errors.js';
import { completeMaster } from '../../../src/master/complete.js';

let folder = '';

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'orbreel-stopping-'));
  const noise = { type: 'gaussian', mean: 128, sigma: 12 } as const;
  await sharp({ create: { width: 640, height: 240, channels: 3, background: '#88a', noise } })
    .png()
    .toFile(join(folder, 'in.png'));
});

afterAll(() => {
  rmSync(folder, { recursive: true });
});

/** Completes a sphere without its upper part, and asks it to stop at the given look at the signal. */
async function stoppedAt(look: number): Promise<{ looks: number; during: Map<string, number> }> {
  let looks = 0;
  let stage = '';
  const during = new Map<string, number>();
  const signal = {
    get aborted() {
      looks++;
      during.set(stage, (during.get(stage) ?? 0) + 1);
      return looks >= look;
    },
  };
  await completeMaster({
    input: join(folder, 'in.png'),
    output: join(folder, 'out.png'),
    overwrite: true,
    place: { bottomLatitude: -90 },
    signal: signal as AbortSignal,
    onProgress: (step, share) => {
      stage = `${step} ${share.toFixed(2)}`;
    },
  });
  return { looks, during };
}

it('looks at the signal throughout, and stops at whichever look', async () => {
  const { looks, during } = await stoppedAt(Infinity);
  // Read strip by strip, then looked over step by step.
  expect(during.get('reading 0.00')).toBeGreaterThan(10);
  // Matched to the end (0.15 + 0.65 x 0.7): copies are joined, two equations a channel, and the rim layer by layer.
  expect(during.get('filling 0.60')).toBeGreaterThan(12);
  rmSync(join(folder, 'out.png'));
  for (const share of [0.05, 0.5, 1]) {
    const look = Math.max(1, Math.round(share * looks));
    await expect(stoppedAt(look)).rejects.toBeInstanceOf(Interrupted);
    expect(readdirSync(folder)).toEqual(['in.png']);
  }
}, 120_000);
