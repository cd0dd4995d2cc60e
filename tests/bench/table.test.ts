import { describe, expect, it } from 'vitest';
import { drawBars } from './bars.js';
import { compare, isMet, median } from './measure.js';
import { formatJson, formatTable } from './table.js';
import type { Entry } from './types.js';

const machine = { renderer: 'a renderer', cpus: 2, load: 1.25, othersBusy: 0.5 };
const ENTRIES: readonly Entry[] = [
  {
    ...{ row: 'reframe', work: 'frames', against: 'a filter', unit: 'fps', ...machine },
    ...{ ours: 31.25, theirs: 4, ratio: 7.8125, target: { kind: 'at least', value: 5 } },
  },
  {
    ...{ row: 'memory', work: 'peak', against: 'the limit', unit: 'GB', ...machine },
    ...{ ours: 2.5, theirs: 2.2, ratio: 1.136, target: { kind: 'at most', value: 1 } },
    note: 'A note.',
  },
  {
    ...{ row: 'stages', work: 'draw', against: 'all', unit: 'ms', ...machine },
    ...{ ours: 1234.5, theirs: 2469, ratio: 0.5 },
  },
];

describe("the benchmark's report", () => {
  it('is a table with what it was taken on', () => {
    expect(formatTable(ENTRIES)).toBe(
      [
        '| work   |     ours | against           | ratio | target     | met? |',
        '| ------ | -------: | ----------------- | ----: | ---------- | ---- |',
        '| frames | 31.3 fps | 4 fps: a filter   |  7.81 | at least 5 | yes  |',
        '| peak   |   2.5 GB | 2.2 GB: the limit |  1.14 | at most 1  | NO   |',
        '| draw   |  1235 ms | 2469 ms: all      |  0.50 |            |      |',
        '',
        '- frames: a renderer, 2 CPUs, load 1.25, 0.5 cores busy with other programs.',
        '- peak: a renderer, 2 CPUs, load 1.25, 0.5 cores busy with other programs. A note.',
        '- draw: a renderer, 2 CPUs, load 1.25, 0.5 cores busy with other programs.',
      ].join('\n'),
    );
  });

  it('is the same as JSON', () => {
    const read = JSON.parse(formatJson(ENTRIES, { date: 'today' }));
    expect(read.date).toBe('today');
    expect(read.rows.map(({ met }: { met: unknown }) => met)).toEqual([true, false, null]);
    expect(read.rows[0]).toEqual({ ...ENTRIES[0], met: true });
  });

  it('holds a ratio against its target, the target included', () => {
    const [least, most, none] = ENTRIES as [Entry, Entry, Entry];
    expect(isMet({ ...least, ratio: 5 })).toBe(true);
    expect(isMet({ ...least, ratio: 4.99 })).toBe(false);
    expect(isMet({ ...most, ratio: 1 })).toBe(true);
    expect(isMet({ ...most, ratio: 1.01 })).toBe(false);
    expect(isMet(none)).toBeUndefined();
  });

  it('takes medians of the rounds, and of their own ratios, without the first', async () => {
    expect([median([3]), median([4, 1]), median([5, 1, 3])]).toEqual([3, 2.5, 3]);
    const ours = [100, 2, 30, 4];
    const theirs = [1, 1, 10, 4];
    const next = (values: number[]) => () => values.shift()!;
    expect(await compare(3, next(ours), next(theirs))).toEqual({ ours: 4, theirs: 4, ratio: 2 });
  });

  it('is a picture whose parts are as long as their shares of the time', () => {
    const parts = [
      { name: 'draw', value: 30 },
      { name: 'a < b', value: 10 },
    ];
    const svg = drawBars({ title: 'T', note: 'N', bars: [{ name: 'draft', parts }] });
    const widths = [...svg.matchAll(/width="([\d.]+)" height="34"/g)].map(([, width]) => width);
    expect(widths.map(Number)).toEqual([457.5, 152.5]);
    expect(svg).toContain('40 ms');
    expect(svg).toContain('a &lt; b');
  });
});
