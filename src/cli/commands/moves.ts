import { mkdir } from 'node:fs/promises';
import { join, resolve } from 'node:path';
import { Command } from 'commander';
import { exists } from '../../encode/target.js';
import { InputError } from '../../errors.js';
import { findMove, moveNames, moves } from '../../moves/index.js';
import type { Move, Param } from '../../moves/types.js';
import { takesOf, usualOf } from '../../scene/moves/fields.js';
import { starterSequence } from '../../scene/moves/sample.js';
import { complaint, didYouMean, listed, shortNumber } from '../../scene/words.js';
import { demoPlaces } from '../demo-files.js';
import { helpAfter } from '../help.js';
import { shown } from '../names.js';
import { jsonOption, overwriteOption, quietOption } from '../options.js';
import { Progress } from '../progress.js';
import { asJson, columns, paint, print } from '../terminal.js';

interface Words {
  readonly pictures?: string;
  readonly master?: string;
  readonly json?: boolean;
  readonly overwrite?: boolean;
  readonly quiet?: boolean;
}

/** Of each picture in a strip, in pixels; and how many there are. */
const PICTURE = { width: 150, height: 200 };
const PICTURES = 6;

export const movesCommand = (signal: AbortSignal): Command =>
  new Command('moves')
    .description('List the ready camera moves: what each is good for, and its parameters.')
    .argument('[names...]', 'only these')
    .option(
      '--pictures <folder>',
      `draw a strip of ${PICTURES} pictures of each into that folder, as NAME.webp, instead of listing them`,
    )
    .option(
      '--master <file>',
      "with --pictures: the 360 master (default: the demo's, if it is there)",
    )
    .addOption(jsonOption())
    .addOption(overwriteOption())
    .addOption(quietOption())
    .addHelpText(
      'after',
      helpAfter({
        examples: [
          'orbreel moves',
          'orbreel moves push-in',
          'orbreel moves --pictures strips --master valley.jpg',
        ],
        notes: [
          'To begin a scene with one: `orbreel new intro --master valley.jpg --move push-in`.',
          'To see the keyframes that a scene’s moves come to: `orbreel check SCENE --expand`.',
        ],
      }),
    )
    .action((names: readonly string[], words: Words) => list(names, words, signal));

async function list(names: readonly string[], words: Words, signal: AbortSignal): Promise<void> {
  const wanted = wantedMoves(names);
  if (words.pictures !== undefined) return drawStrips(wanted, words.pictures, words, signal);
  if (words.master !== undefined) {
    const message = 'goes with --pictures, which names a folder for them';
    throw new InputError([{ place: '', path: '--master', message }]);
  }
  print(words.json ? asJson(wanted.map(describe)) : wanted.map(text).join('\n\n'));
}

function wantedMoves(names: readonly string[]): readonly Move[] {
  if (names.length === 0) return moves;
  const problems = names.flatMap((name) => {
    if (findMove(name) !== undefined) return [];
    const message = complaint(`takes moves: ${listed(moveNames)}`, name);
    return [{ place: '', path: 'NAMES', message: message + didYouMean(name, moveNames) }];
  });
  if (problems.length > 0) throw new InputError(problems);
  return moves.filter(({ name }) => names.includes(name));
}

async function drawStrips(
  wanted: readonly Move[],
  folder: string,
  { master, overwrite = false, quiet = false }: Words,
  signal: AbortSignal,
): Promise<void> {
  const source = master ?? (await demoPlaces()).master;
  if (master === undefined && !(await exists(source))) {
    const message = 'is missing: the demo’s master is not there yet; `orbreel demo` makes it';
    throw new InputError([{ place: '', path: '--master', message }]);
  }
  const { checkMaster } = await import('../../master/open.js');
  await checkMaster(source);
  await mkdir(folder, { recursive: true });
  const scene = starterSequence(wanted, resolve(source), PICTURE);
  const { renderStrips } = await import('../../strips.js');
  const progress = new Progress(process.stderr, { unit: 'frames' });
  const label = shown(folder);
  try {
    await renderStrips({
      ...{ scene, overwrite, signal, quality: 'final', frames: PICTURES },
      files: wanted.map(({ name }) => join(folder, `${name}.webp`)),
      onProgress: (done, total) => quiet || progress.update({ label, done, total }),
    });
  } finally {
    progress.end();
  }
  if (!quiet) print(wanted.map(({ name }) => shown(join(folder, `${name}.webp`))).join('\n'));
}

/** The move as data: times in seconds, angles in degrees. */
function describe(move: Move) {
  const { name, title, goodFor, begins, ends, params } = move;
  return {
    ...{ name, title, goodFor, begins: begins.words, ends: ends.words, seconds: usualTime(move) },
    params: Object.entries(params).map(([name, param]) => ({ name, ...param })),
  };
}

function text(move: Move): string {
  const { name, title, goodFor, begins, ends, params } = move;
  const rows = [
    ['  good for', goodFor],
    ['  begins with', begins.words],
    ['  ends with', ends.words],
    ['  for', `${shortNumber(usualTime(move), 1)} s unless it is said otherwise`],
    ...Object.entries(params).map(([key, param]) => [`  ${key}`, paramText(param)]),
  ];
  return `${paint('bold', name)}  ${title}\n${columns(rows)}`;
}

const usualTime = (move: Move): number => starterSequence([move], 'master').duration;

/** What it says, what it takes, and what it is by itself. */
function paramText(param: Param): string {
  const first = param.begin ? ' (where the move begins the clip)' : '';
  const kept = param.kept ? ', or as before' : '';
  return `${param.about}${first}; ${takesOf(param)}, default ${usualOf(param)}${kept}`;
}
