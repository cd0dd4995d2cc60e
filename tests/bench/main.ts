/** Measures the speed that issue 3 asks for: `npm run bench -- --help`. */
import { execFileSync } from 'node:child_process';
import { copyFileSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { observed } from './machine.js';
import { briefly, formatJson, formatTable } from './table.js';
import type { Bench, Entry, Row } from './types.js';

const here = (path: string) => fileURLToPath(new URL(path, import.meta.url));

/** Loaded when asked for. */
const ROWS: Readonly<Record<string, () => Promise<Row>>> = {
  reframe: async () => (await import('./rows/reframe.js')).reframe,
  whole: async () => (await import('./rows/whole.js')).whole,
  shapes: async () => (await import('./rows/shapes.js')).shapes,
  size: async () => (await import('./rows/size.js')).size,
  still: async () => (await import('./rows/still.js')).still,
  memory: async () => (await import('./rows/memory.js')).memory,
  stages: async () => (await import('./rows/stages.js')).stages,
};

const OUT = here('../../out');
const PICTURE = 'where-the-time-goes.svg';

const HELP = `npm run bench -- [options]
  --only NAME   one of ${Object.keys(ROWS).join(', ')}; may be repeated
  --rounds N    measurements of each figure, whose median counts (5)
  --frames N    frames of each measurement
  --large       also the memory of a master of 536 megapixels
  --picture     keep the picture of where the time goes in examples/pictures
  --gpu         only what needs a graphics card (tests/bench/gpu.mjs)
Prints a table and writes out/bench.json and out/${PICTURE}.`;

const { values } = parseArgs({
  options: {
    only: { type: 'string', multiple: true },
    rounds: { type: 'string', default: '5' },
    frames: { type: 'string' },
    large: { type: 'boolean', default: false },
    picture: { type: 'boolean', default: false },
    gpu: { type: 'boolean', default: false },
    help: { type: 'boolean', default: false },
  },
});

if (values.help) console.log(HELP);
else if (values.gpu) report(gpuEntries());
else await measure(values.only ?? Object.keys(ROWS));

function report(entries: readonly Entry[]): void {
  keep(entries);
  console.log(formatTable(entries));
}

function keep(entries: readonly Entry[]): void {
  mkdirSync(OUT, { recursive: true });
  const about = { date: new Date().toISOString(), node: process.version };
  writeFileSync(join(OUT, 'bench.json'), formatJson(entries, about));
}

/** In a process of its own, since there it must run without what this one has loaded. */
function gpuEntries(): Entry[] {
  const { rounds, frames } = values;
  const args = [
    '--json',
    '--rounds',
    rounds,
    ...(frames === undefined ? [] : ['--frames', frames]),
  ];
  return JSON.parse(
    execFileSync(process.execPath, [here('gpu.mjs'), ...args], { encoding: 'utf8' }),
  );
}

/** Keeps every figure as soon as it is there: a whole run takes long. */
async function measure(names: readonly string[]): Promise<void> {
  const unknown = names.find((name) => !(name in ROWS));
  if (unknown !== undefined) throw new Error(`There is no row ${unknown}.\n${HELP}`);
  const folder = mkdtempSync(join(tmpdir(), 'orbreel-bench-'));
  process.once('exit', () => rmSync(folder, { recursive: true, force: true }));
  const stop = () => process.exit(130);
  process.once('SIGINT', stop).once('SIGTERM', stop);
  const bench = await prepare(folder);
  const entries: Entry[] = [];
  for (const row of names) {
    const results = (await ROWS[row]!())(bench)[Symbol.asyncIterator]();
    for (;;) {
      const { result, machine } = await observed(bench.context.info.renderer, () => results.next());
      if (result.done) break;
      const entry = { row, ...result.value, ...machine };
      entries.push(entry);
      keep(entries);
      bench.say(briefly(entry));
    }
  }
  bench.context.close();
  if (values.picture) {
    copyFileSync(join(OUT, PICTURE), here(`../../examples/pictures/${PICTURE}`));
  }
  report(entries);
}

async function prepare(folder: string): Promise<Bench> {
  const [{ openContext }, { findFfmpeg }, { createMasters }] = await Promise.all([
    import('../../src/render/context.js'),
    import('../../src/encode/ffmpeg.js'),
    import('./masters.js'),
  ]);
  const { rounds, frames, large } = values;
  mkdirSync(OUT, { recursive: true });
  return {
    ...{ folder, out: OUT, large, rounds: Number(rounds) },
    ...(frames === undefined ? {} : { frames: Number(frames) }),
    context: await openContext(),
    ffmpeg: await findFfmpeg(),
    master: createMasters(folder),
    say: (words) => console.error(`... ${words}`),
  };
}
