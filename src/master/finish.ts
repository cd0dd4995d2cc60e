import { copyFile } from 'node:fs/promises';
import { placement } from './complete/placement.js';
import { expectFits, save } from './complete/save.js';
import type { CompleteReport } from './complete.js';
import { carryMetadata } from './finish/carry.js';
import { levelSurely } from './finish/levelling.js';
import {
  canStayAs,
  convert,
  expectOnePhoto,
  expectSpherical,
  expectUpright,
  showsAll,
} from './finish/picture.js';
import { placeOf } from './finish/placing.js';
import type { FinishOptions, FinishReport, LevelStep } from './finish/types.js';
import { completeFound, wholeClaim } from './finish/whole.js';
import { inWorkFolder, type WorkFolder } from './finish/workFolder.js';
import { joinsNowhere } from './inspect/advice.js';
import { detectFormat } from './inspect/format.js';
import { type Inspection, inspectMaster } from './inspect.js';
import { type MarkOptions, markMaster } from './mark.js';
import { noteOn } from './transparency.js';

export { describeFinish } from './finish/describe.js';
export type { FinishOptions, FinishReport, Keep, LevelStep } from './finish/types.js';
export { KEEPS } from './finish/types.js';

/** A picture on its way; between the steps it is a lossless file. */
interface Picture {
  readonly file: string;
  readonly completed?: CompleteReport;
}

/**
 * Inspects a photo and does what it needs to be a finished master: completes, levels and marks it, in
 * this order, each only where needed. What is whole and level is not encoded again. Finishing the
 * result changes nothing.
 *
 * @throws InputError, WorkError, or Interrupted; leaves nothing behind then
 */
export async function finishMaster(options: FinishOptions): Promise<FinishReport> {
  return inWorkFolder(options, async (folder) => {
    const { input, output, onProgress = () => {} } = options;
    onProgress('inspecting', 0);
    const before = await inspectMaster(input);
    await expectOnePhoto(before);
    await expectUpright(input);
    await expectSpherical(input);
    const whole = await completeWhereNeeded(before, options, folder);
    const levelled = await levelWhereSure(before, whole, options, folder);
    const redrawn = whole.file !== input || levelled.status === 'turned';
    onProgress('marking', 0.95);
    if (redrawn) await carryMetadata(input, folder.result);
    const mark = await markMaster(claims(options, whole, levelled, folder));
    onProgress('done', 1);
    const report: FinishReport = {
      file: output,
      changed: redrawn || mark.changed,
      redrawn,
      before,
      ...(whole.completed === undefined ? {} : { completed: whole.completed }),
      levelled,
      mark: { ...mark, file: output },
      notes: [
        ...(whole.completed?.notes ?? (redrawn ? leftOut(before) : [])),
        ...doubts(before),
        ...mark.notes,
      ],
    };
    return { report, written: true };
  });
}

/** What makes one doubt that it is a whole sphere. */
const doubts = (before: Inspection): string[] =>
  joinsNowhere(before)
    ? [
        'Neither its edges nor its poles join, as those of a whole sphere do: is it a part of one, or flat? Then say so, with --across and --top or with orbreel master mark --flat.',
      ]
    : [];

const leftOut = ({ unspecified = 0 }: Inspection): string[] =>
  noteOn({ count: unspecified, alpha: undefined });

/** Completed, or only converted, without loss; the input itself when neither is needed. */
async function completeWhereNeeded(
  before: Inspection,
  options: FinishOptions,
  folder: WorkFolder,
): Promise<Picture> {
  const { input, output, seed, signal, onProgress = () => {} } = options;
  const result = folder.path('whole.png');
  const depth = depthOf(before);
  if (options.keep?.includes('holes') || (await showsAll(before))) {
    if (canStayAs(output, await detectFormat(input))) return { file: input };
    expectFits(output, { ...before, depth });
    await convert(before, result);
    return { file: result };
  }
  const place = placeOf(before, options.place ?? {}, 'finish');
  expectFits(output, { ...placement(before, place), depth });
  const completed = await completeFound(
    before,
    {
      input,
      output: result,
      place,
      ...(seed === undefined ? {} : { seed }),
      ...(signal === undefined ? {} : { signal }),
      onProgress: (step, share) => onProgress(step, 0.05 + 0.5 * share),
    },
    { ...folder, result },
  );
  return { file: result, completed };
}

const depthOf = ({ depth }: Inspection): 8 | 16 => (depth > 8 ? 16 : 8);

/** Levelled, where the picture itself says how, and in any case written to the folder's result. */
async function levelWhereSure(
  before: Inspection,
  { file, completed }: Picture,
  options: FinishOptions,
  folder: WorkFolder,
): Promise<LevelStep> {
  const { input, quality = 95 } = options;
  const depth = depthOf(before);
  const asItIs = () =>
    file === input ? copyFile(input, folder.result) : save(file, folder.result, depth, quality);
  const reason = options.keep?.includes('tilt')
    ? 'kept'
    : completed === undefined && !(await showsAll(before))
      ? 'partial'
      : undefined;
  if (reason === undefined) return levelSurely(file, depth, options, folder, asItIs);
  await asItIs();
  return { status: reason };
}

function claims(
  options: FinishOptions,
  { completed }: Picture,
  levelled: LevelStep,
  folder: WorkFolder,
): MarkOptions {
  const { heading, stripPlace } = options;
  const pose = levelled.status === 'turned' ? levelled.pose : {};
  return {
    input: folder.result,
    overwrite: true,
    ...(completed === undefined ? {} : wholeClaim(completed.canvas)),
    ...pose,
    ...(heading === undefined ? {} : { heading }),
    ...(stripPlace === undefined ? {} : { stripPlace }),
  };
}
