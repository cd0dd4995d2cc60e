import { basename, dirname, extname, resolve } from 'node:path';
import { BLACK } from './background.js';
import { sceneBall } from './ball-fields.js';
import { type BallDraft, ballDraft, ballPlacer, bothBalls } from './ball-place.js';
import { compassOf, type MasterFacts } from './direction.js';
import type { Path } from './document.js';
import { DEFAULT_EASE, parseEase } from './ease.js';
import { pathOf, pathText } from './faults.js';
import { resolveFootage } from './footage.js';
import { reportOpenLoop } from './loop.js';
import { type AimReader, aimReader, checkPlaced, overlaid } from './marks.js';
import { missingFields } from './missing.js';
import { expandMoves } from './moves/resolve.js';
import { resolveOverlays } from './overlays.js';
import { givenMargins } from './safe.js';
import type { KeyframeFields, SceneFields } from './schema.js';
import { isSphere, type Shape } from './shapes.js';
import { resolveSound } from './sound.js';
import { LONGEST, momentSeconds } from './time.js';
import { resolveTiming } from './timing.js';
import { reportTwins } from './twins.js';
import type { Keyframe, Output, Scene, Timing } from './types.js';
import { shortNumber } from './words.js';

/** Tells one mistake. */
export type Report = (path: Path, message: string) => void;

/** Two times nearer than this, in seconds, are one. */
export const SAME_TIME = 1e-6;

/** A keyframe as written, its time in seconds. */
export type Draft = Partial<Omit<Keyframe, 'at' | 'path' | 'ball'>> & {
  readonly at: number;
  readonly path: string;
  readonly ball?: BallDraft;
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
  for (const { name, message } of missingFields(fields)) report([name], message);
  const timing = resolveTiming({ ...fields, duration: fields.duration ?? LONGEST }, report);
  const compass = compassOf(fields.north, master, report, master.onAsked);
  const aims = aimReader(fields.marks, compass, report);
  const { time, keyframes: drafts, ball } = scripted(fields, timing, aims, report);
  const usual = { ...fields, ball };
  const duration = fields.duration ?? time.length;
  const drafted = (list: readonly KeyframeFields[], path: Path) =>
    draftsOf(list, path, { ...time, aims }, report);
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
      keyframes: finished(keyframes, own.shape.name, usual),
      ...(own.file === undefined ? {} : { file: resolve(folder, own.file) }),
    };
  });
  reportTwins(outputs, report);
  const scene: Scene = {
    file: resolve(file),
    name: basename(file, extname(file)),
    master: resolve(folder, fields.master),
    ...(fields.footage === undefined ? {} : { footage: resolveFootage(fields.footage) }),
    sound: resolveSound(fields.sound, {
      duration,
      fileOf: (name) => resolve(folder, name),
      report,
    }),
    duration,
    fps: fields.fps,
    shutter: fields.shutter,
    sharpen: fields.sharpen,
    background,
    marks: aims.marks,
    keyframes: finished(drafts, '', usual),
    outputs,
    overlays: resolveOverlays(fields.overlays, ['overlays'], {
      duration,
      fileOf: (name) => resolve(folder, name),
      report,
    }),
    ...(timing === undefined ? {} : { timing }),
    ...(fields.loop ? { loop: true } : {}),
    ...(typeof fields.north === 'number' ? { north: fields.north } : {}),
  };
  if (scene.loop) reportOpenLoop(scene, report);
  return scene;
}

/** The scene's own time. */
interface Time {
  /** Seconds. */
  readonly length: number;
  /** For messages. */
  readonly called: string;
}

/** The keyframes that the moves come to, with the scene's own merged in by time, and how long that is. */
function scripted(
  { moves, keyframes = [], duration, ball }: SceneFields,
  timing: Timing | undefined,
  aims: AimReader,
  report: Report,
): {
  readonly time: Time;
  readonly keyframes: readonly Draft[];
  readonly ball: SceneFields['ball'];
} {
  const called = timing ? "the scene's own length" : 'the duration';
  const given = timing?.length ?? duration;
  const drafted = (length: number) =>
    draftsOf(keyframes, ['keyframes'], { length, called, aims }, report);
  const own = drafted(given ?? LONGEST);
  if (moves === undefined)
    return { time: { length: given ?? LONGEST, called }, keyframes: own, ball };
  const { drafts, end } = expandMoves(moves, { length: given, aims, keyframes: own }, report);
  const length = given ?? end;
  const placesBall = drafts.some((draft) => draft.ball !== undefined);
  return {
    time: { length, called },
    keyframes: merged(drafts, drafted(length)),
    ball: ball ?? (placesBall ? sceneBall.parse('glass') : undefined),
  };
}

export const frameOf = ({ name, width, height }: Shape) => ({ shape: name, width, height });

/** Whole keyframes for an output of the shape `shape`; the first says what the scene's ball is made of. */
function finished(drafts: readonly Draft[], shape: string, usual: SceneFields): Keyframe[] {
  const placed = ballPlacer();
  const keyframes = drafts.map(({ smooth, even, ball, ...draft }, index): Keyframe => {
    // An ease of its own takes a keyframe out of the scene's smooth path.
    const runsOn = smooth ?? (usual.path === 'smooth' && draft.ease === undefined);
    return {
      ...draft,
      ...(ball === undefined ? {} : { ball: placed(ball) }),
      ...(index === 0 && usual.ball !== undefined ? { ballLook: usual.ball } : {}),
      ease: draft.ease ?? parseEase(DEFAULT_EASE)!,
      turn: draft.turn ?? 'as-written',
      ...(runsOn ? { smooth: true } : {}),
      ...((even ?? usual.pace === 'even') ? { even: true } : {}),
    };
  });
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
  {
    length,
    called,
    aims,
  }: { readonly length: number; readonly called: string; readonly aims: AimReader },
  report: Report,
): Draft[] {
  const drafts = list.map((fields, index): Draft => {
    const path = [...base, index];
    const at = momentSeconds(fields.at, length);
    if (fields.path === 'smooth' && fields.ease !== undefined) {
      report(
        [...path, 'ease'],
        'has no place beside path: smooth, which runs on without easing; leave one of them out',
      );
    }
    if (at > length + SAME_TIME) {
      const found = `${shortNumber(at)} s`;
      report(
        [...path, 'at'],
        `takes a time from 0 to ${called}, ${shortNumber(length)} s, found ${found}`,
      );
    }
    const { ball } = fields;
    const written = {
      ...given(fields),
      ...aims.read(fields, path),
      ...(ball === undefined ? {} : { ball: ballDraft(ball, [...path, 'ball'], aims, report) }),
    };
    return { ...written, at: Math.min(at, length), path: pathText(path) };
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
  const { at, look, place, heading, ball, path, pace, ...rest } = fields;
  const motion = {
    ...(path === undefined ? {} : { smooth: path === 'smooth' }),
    ...(pace === undefined ? {} : { even: pace === 'even' }),
  };
  const values = Object.entries(rest).filter(([, value]) => value !== undefined);
  return { ...Object.fromEntries(values), ...motion };
}

/** An override at a keyframe's time replaces the fields it names; others are put in between. */
function merged(drafts: readonly Draft[], overrides: readonly Draft[]): Draft[] {
  const changed = drafts.map((draft) => {
    const override = overrides.find((other) => Math.abs(other.at - draft.at) < SAME_TIME);
    if (override === undefined) return draft;
    const { smooth, ...rest } = draft;
    // An ease replaces a smooth path too.
    const kept = smooth === undefined || override.ease !== undefined ? {} : { smooth };
    return {
      ...overlaid({ ...rest, ...kept }, override),
      ...bothBalls(draft, override),
      at: draft.at,
    };
  });
  const added = overrides.filter(
    (override) => !drafts.some((draft) => Math.abs(draft.at - override.at) < SAME_TIME),
  );
  return [...changed, ...added].sort((a, b) => a.at - b.at);
}
