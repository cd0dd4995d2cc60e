import { basename, dirname, extname, resolve } from 'node:path';
import { BLACK } from './background.js';
import { compassOf, type MasterFacts } from './direction.js';
import type { Path } from './document.js';
import { DEFAULT_EASE, parseEase } from './ease.js';
import { pathOf, pathText } from './faults.js';
import { type AimReader, aimReader, checkPlaced, overlaid } from './marks.js';
import { resolveOverlays } from './overlays.js';
import { givenMargins } from './safe.js';
import type { KeyframeFields, SceneFields } from './schema.js';
import { isSphere, type Shape } from './shapes.js';
import { momentSeconds } from './time.js';
import type { Keyframe, Output, Scene } from './types.js';
import { shortNumber } from './words.js';

/** Tells one mistake. */
export type Report = (path: Path, message: string) => void;

/** Two times nearer than this, in seconds, are one. */
export const SAME_TIME = 1e-6;

/** A keyframe as written, its time in seconds. */
type Draft = Partial<Omit<Keyframe, 'at' | 'path'>> & {
  readonly at: number;
  readonly path: string;
};

/** What a scene's text leaves to its master. */
export interface Master extends MasterFacts {
  /** Told when the text asks for a heading that is not given here. */
  onAsked(): void;
}

/**
 * The checked fields of the file as a scene, its looks not yet aimed; mistakes that lie between fields
 * are reported.
 */
export function resolveScene(
  fields: SceneFields,
  file: string,
  report: Report,
  master: Master,
): Scene {
  const folder = dirname(resolve(file));
  const background = fields.background ?? BLACK;
  const compass = compassOf(fields.north, master, report, master.onAsked);
  const aims = aimReader(fields.marks, compass, report);
  const drafted = (list: readonly KeyframeFields[], path: Path) =>
    draftsOf(list, path, { duration: fields.duration, aims }, report);
  const drafts = drafted(fields.keyframes, ['keyframes']);
  for (const draft of drafts) checkPlaced(draft, report);
  const outputs = fields.outputs.map((output, index): Output => {
    const own = 'shape' in output ? output : { shape: output };
    const overrides = drafted(own.keyframes ?? [], ['outputs', index, 'keyframes']);
    const keyframes = merged(drafts, overrides);
    for (const keyframe of keyframes) checkPlaced(keyframe, report);
    return {
      ...frameOf(own.shape),
      background: own.background ?? background,
      ...(own.safe === undefined ? {} : { safe: givenMargins(own.safe) }),
      keyframes: finished(keyframes, own.shape.name),
      ...(own.file === undefined ? {} : { file: resolve(folder, own.file) }),
    };
  });
  reportTwins(outputs, report);
  return {
    file: resolve(file),
    name: basename(file, extname(file)),
    master: resolve(folder, fields.master),
    duration: fields.duration,
    fps: fields.fps,
    shutter: fields.shutter,
    sharpen: fields.sharpen,
    background,
    marks: aims.marks,
    keyframes: finished(drafts, ''),
    outputs,
    overlays: resolveOverlays(fields.overlays, ['overlays'], {
      duration: fields.duration,
      fileOf: (name) => resolve(folder, name),
      report,
    }),
  };
}

export const frameOf = ({ name, width, height }: Shape) => ({ shape: name, width, height });

/** Whole keyframes for an output of the shape `shape`. */
function finished(drafts: readonly Draft[], shape: string): Keyframe[] {
  const keyframes = drafts.map(
    (draft): Keyframe => ({
      ...draft,
      ease: draft.ease ?? parseEase(DEFAULT_EASE)!,
      turn: draft.turn ?? 'as-written',
    }),
  );
  return isSphere(shape) ? wholeSphere(keyframes) : keyframes;
}

/** The same turning, with the whole sphere in the frame: 360 degrees across. */
export function wholeSphere(keyframes: readonly Keyframe[]): Keyframe[] {
  return keyframes.map(({ fov, fovSide, projection, ...rest }, index) =>
    index > 0
      ? rest
      : {
          ...rest,
          fov: 360,
          fovSide: 'horizontal',
          projection: { name: 'equirectangular', params: {} },
        },
  );
}

function draftsOf(
  list: readonly KeyframeFields[],
  base: Path,
  { duration, aims }: { readonly duration: number; readonly aims: AimReader },
  report: Report,
): Draft[] {
  const drafts = list.map((fields, index): Draft => {
    const path = [...base, index];
    const at = momentSeconds(fields.at, duration);
    if (at > duration + SAME_TIME) {
      const found = `${shortNumber(at)} s`;
      report(
        [...path, 'at'],
        `takes a time from 0 to the duration, ${shortNumber(duration)} s, found ${found}`,
      );
    }
    const written = { ...given(fields), ...aims.read(fields, path) };
    return { ...written, at: Math.min(at, duration), path: pathText(path) };
  });
  drafts.sort((a, b) => a.at - b.at);
  for (const [index, draft] of drafts.entries()) {
    const before = drafts[index - 1];
    if (before && draft.at - before.at < SAME_TIME) {
      const [later, earlier] = draft.path < before.path ? [before, draft] : [draft, before];
      report(
        [...pathOf(later.path), 'at'],
        `is the time of ${earlier.path} too, ${shortNumber(draft.at)} s; move one of them or put them together`,
      );
    }
  }
  return drafts;
}

/** Only the fields that were written, those apart that say where to look by place. */
function given(fields: KeyframeFields): Omit<Draft, 'at' | 'path'> {
  const { at, look, place, heading, ...rest } = fields;
  return Object.fromEntries(Object.entries(rest).filter(([, value]) => value !== undefined));
}

/** An override at a keyframe's time replaces the fields it names; others are put in between. */
function merged(drafts: readonly Draft[], overrides: readonly Draft[]): Draft[] {
  const changed = drafts.map((draft) => {
    const override = overrides.find((other) => Math.abs(other.at - draft.at) < SAME_TIME);
    return override ? { ...overlaid(draft, override), at: draft.at } : draft;
  });
  const added = overrides.filter(
    (override) => !drafts.some((draft) => Math.abs(draft.at - override.at) < SAME_TIME),
  );
  return [...changed, ...added].sort((a, b) => a.at - b.at);
}

/** Outputs that would be written to the same file. */
function reportTwins(outputs: readonly Output[], report: Report): void {
  for (const [index, output] of outputs.entries()) {
    const first = outputs.findIndex((other) =>
      output.file === undefined
        ? other.file === undefined && other.shape === output.shape
        : other.file === output.file,
    );
    if (first === index) continue;
    if (output.file === undefined) {
      report(
        ['outputs', index],
        `is the same shape as outputs[${first}]; give one a file of its own`,
      );
    } else report(['outputs', index, 'file'], `is the file of outputs[${first}] too`);
  }
}
