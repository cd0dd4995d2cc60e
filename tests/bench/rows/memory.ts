import { join } from 'node:path';
import { peakOfCommand, writeScene } from '../children.js';
import { atMost } from '../measure.js';
import type { Bench, Result } from '../types.js';

/** Widths of masters and the most memory, in GB (10^9 bytes), that a render from them may hold. */
const LIMITS = [
  { width: 18000, most: 2.2, large: false },
  { width: 32768, most: 6, large: true },
];

/** So close a view that the master is needed in full: one frame, decoded, uploaded, drawn, written. */
const CLOSE = { fov: 10, projection: 'rectilinear', outputs: ['square'] };

export async function* memory({ large, master, folder, say }: Bench): AsyncIterable<Result> {
  for (const { width, most } of LIMITS.filter((limit) => large || !limit.large)) {
    const work = `peak memory, ${width}x${width / 2} (${Math.round((width * width) / 2e6)} MP)`;
    say(work);
    const scene = await writeScene(folder, await master(width), CLOSE);
    const peak = await peakOfCommand(
      [
        ...['render', scene, '--from', '0', '--to', String(1 / 30)],
        ...['--out', join(folder, 'frame-%05d.png'), '--overwrite', '--quiet'],
      ],
      folder,
    );
    const ours = peak / 1e9;
    const figures = { ours, theirs: most, ratio: ours / most };
    yield { work, against: 'the limit', unit: 'GB', ...figures, target: atMost(1) };
  }
}
