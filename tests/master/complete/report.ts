/**
 * Cuts caps, feet and discs out of every real photograph that the tests have and out of the demo master,
 * completes them, and prints how they join. Writes pictures side by side: as it was, completed, filled
 * in the flat picture. Run with `npx tsx tests/master/complete/report.ts [--only NAME,NAME]
 * [--cuts CUT,CUT] [--fill texture|smooth] [--out FOLDER]`.
 */
import { mkdirSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { CUTS, cutAndMeasure } from './cutting.js';
import { PICTURES, showViews } from './photos.js';

/** All that npm's `@pmndrs/assets` ships. */
function photographs(): string[] {
  const folder = dirname(fileURLToPath(import.meta.resolve('@pmndrs/assets/hdri/park.exr.js')));
  return readdirSync(folder)
    .filter((file) => file.endsWith('.exr.js'))
    .map((file) => file.slice(0, -'.exr.js'.length));
}

async function main(): Promise<void> {
  const { values } = parseArgs({
    options: {
      only: { type: 'string' },
      cuts: { type: 'string' },
      fill: { type: 'string', default: 'texture' },
      out: { type: 'string', default: join(PICTURES, 'report') },
    },
  });
  const fill = values.fill === 'smooth' ? 'smooth' : 'texture';
  const names = values.only?.split(',') ?? [...photographs(), 'valley'];
  const cuts = (values.cuts?.split(',') ?? Object.keys(CUTS)) as (keyof typeof CUTS)[];
  const folder = mkdtempSync(join(tmpdir(), 'orbreel-report-'));
  mkdirSync(values.out, { recursive: true });
  const n = (value: number, digits = 2) => value.toFixed(digits).padStart(6);
  let [met, all, above, missed, log] = [0, 0, 0, 0, 0];
  console.log('photograph cut       rim  uncut   flat   colour   flat   seam   seconds');
  try {
    for (const name of names) {
      for (const cut of cuts) {
        const from = process.cpuUsage();
        const m = await cutAndMeasure(folder, name, CUTS[cut], fill);
        const spent = process.cpuUsage(from);
        await showViews(`${name}-${cut}`, m.views, CUTS[cut], values.out);
        const bound = Math.max(1.2, 1.05 * m.wholeRim);
        const ok = m.rim <= bound;
        all++;
        if (ok) met++;
        above += Math.max(0, m.rim - bound);
        log += Math.log(m.rim / m.wholeRim);
        missed += m.colour.mean;
        console.log(
          `${name.padEnd(10)} ${cut.padEnd(6)} ${n(m.rim)} ${n(m.wholeRim)} ${n(m.naiveRim)}   ` +
            `${n(m.colour.mean)} ${n(m.naiveColour.mean)} ${n(m.seam.ratio)}   ` +
            `${n((spent.user + spent.system) / 1e6, 1)}${ok ? '' : '  *'}${m.rim < m.naiveRim ? '' : ' !'}`,
        );
      }
    }
    console.log(
      `${met} of ${all} within max(1.2, 1.05 uncut); mean excess ${n(above / all, 3)}, ` +
        `mean ratio to uncut ${n(Math.exp(log / all), 3)}, mean colour error ${n(missed / all)}`,
    );
  } finally {
    rmSync(folder, { recursive: true });
  }
}

await main();
