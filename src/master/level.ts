import { rotationMatrix } from '../camera/orientation.js';
import type { Orientation } from '../camera/types.js';
import { removeTemporary, temporaryBeside } from '../encode/temporary.js';
import { writeWhole } from '../encode/wholeFile.js';
import { expectGoing } from '../errors.js';
import { expectFits, isLossless } from './complete/save.js';
import { freeUnused } from './freeUnused.js';
import { checkOptions } from './level/check.js';
import {
  encode,
  type MasterFacts,
  masterFacts,
  openRows,
  readSphere,
  spillMaster,
} from './level/file.js';
import { type Plan, planTurn } from './level/plan.js';
import { type ClaimedPose, claimedPose, restatePose } from './level/pose.js';
import { resampleStrips } from './level/strips.js';
import { type Pose, poseAfter, turnAngles } from './level/turn.js';
import type { LevelOptions, LevelReport } from './level/types.js';
import { noteOnFile } from './transparency.js';

export { estimateHorizon } from './level/horizon.js';
export { findHorizon } from './level/reduced.js';
export type {
  HorizonEstimate,
  HorizonMethod,
  HorizonPoint,
  Lean,
  LevelOptions,
  LevelReport,
} from './level/types.js';

const QUALITY = 95;

/**
 * Turns a master so that it stands level, or as asked, and writes it with its metadata: resampled once,
 * 8 or 16 bit and colour profile kept (16 bit in PNG and TIFF). GPano's pose, where the file states
 * one, is restated for the new picture. Where it stands level already, or `auto` is unsure, nothing is written.
 *
 * Holds the master's samples in memory once (3 or 6 bytes a pixel) and, on disk beside the output,
 * uncompressed once.
 *
 * @throws InputError, WorkError, or Interrupted; leaves nothing behind then.
 */
export async function levelMaster(options: LevelOptions): Promise<LevelReport> {
  const { input, output, overwrite = false, onProgress = () => {}, signal } = options;
  await checkOptions(options);
  const facts = await masterFacts(input);
  expectFits(output, facts);
  onProgress('looking', 0);
  const plan = await planTurn(options, facts);
  const claimed = await claimedPose(input);
  const pose = poseAfter(poseBefore(options, plan, claimed), plan.turn);
  expectGoing(signal);
  if (plan.status === 'turned') {
    await writeWhole(output, overwrite, async (temporary) => {
      await writeTurned(options, facts, plan.turn, temporary);
      if (claimed.isStated) await restatePose(temporary, pose);
    });
  }
  onProgress('done', 1);
  const { turn, notes, ...findings } = plan;
  return {
    ...findings,
    size: facts,
    turn: turnAngles(turn),
    pose,
    notes: [
      ...notes,
      ...depthNote(options, plan, facts),
      ...(plan.status === 'turned' ? await noteOnFile(input) : []),
    ],
  };
}

/** What was found of the camera's stance counts more than what the file claims. */
function poseBefore({ north }: LevelOptions, { lean }: Plan, { pose }: ClaimedPose): Pose {
  const heading = north ?? pose.heading;
  const { pitch, roll } = lean ?? pose;
  return heading === undefined ? { pitch, roll } : { heading, pitch, roll };
}

function depthNote({ output }: LevelOptions, { status }: Plan, { depth }: MasterFacts): string[] {
  if (status !== 'turned' || depth === 8 || isLossless(output)) return [];
  return ['The output format holds 8 bit; choose .png or .tif to keep the 16 bit of the master.'];
}

async function writeTurned(
  { input, output, quality = QUALITY, threads, onProgress = () => {}, signal }: LevelOptions,
  facts: MasterFacts,
  turn: Orientation,
  temporary: string,
): Promise<void> {
  const spill = temporaryBeside(output, '.v');
  try {
    onProgress('reading', 0.05);
    await spillMaster(input, spill, facts);
    expectGoing(signal);
    await turnSpill(spill, facts, turn, { threads, onProgress, signal });
    expectGoing(signal);
    // The samples are out of scope now: with them the encoder would need twice the memory.
    freeUnused();
    onProgress('writing', 0.8);
    await encode(spill, temporary, output, facts.depth, quality);
    expectGoing(signal);
  } finally {
    await removeTemporary(spill);
  }
}

/** Replaces the uncompressed file's samples by those of the turned sphere. */
async function turnSpill(
  spill: string,
  facts: MasterFacts,
  turn: Orientation,
  {
    threads,
    onProgress,
    signal,
  }: {
    readonly threads: number | undefined;
    readonly onProgress: (step: string, share: number) => void;
    readonly signal: AbortSignal | undefined;
  },
): Promise<void> {
  const sphere = await readSphere(spill, facts);
  const rows = await openRows(spill, facts);
  try {
    await resampleStrips({
      sphere,
      rotation: rotationMatrix(turn),
      ...(threads !== undefined && { threads }),
      ...(signal && { signal }),
      take: rows.write,
      onShare: (share) => onProgress('turning', 0.2 + 0.6 * share),
    });
  } finally {
    await rows.close();
  }
}
