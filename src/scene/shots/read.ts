import { dirname, resolve } from 'node:path';
import { aimScene } from '../aim.js';
import { checkBall } from '../ball-check.js';
import type { Path } from '../document.js';
import { type Fault, pathOf, pathText } from '../faults.js';
import { checkFraming } from '../framing-check.js';
import { missingFields } from '../missing.js';
import { type Master, type Report, resolveScene } from '../resolve.js';
import { outputsOf } from '../retarget.js';
import { type SceneFields, sceneSchema } from '../schema.js';
import { sequenceOf } from '../sequence.js';
import { resolveSound } from '../sound.js';
import type { Keyframe, Output, Scene, Sequence, Transition, Warning } from '../types.js';
import type { FileFields, ShotFields } from './schema.js';
import { checkTimes, type Placed } from './times.js';

/** Other scene files by the names that a file gives them; undefined for those that are not right. */
export type Nested = ReadonlyMap<string, Sequence | undefined>;

export interface Reading {
  readonly file: string;
  readonly nested: Nested;
  /** False when something that the field of view depends on had to be left out. */
  readonly framed: boolean;
  /** What is known to be wrong already; more is added. */
  readonly found: Fault[];
  /** What a shot leaves to its master, by the name that the file gives it. */
  masterOf(name: string): Master;
}

type Shots = readonly ShotFields[];

/** The checked fields of a file with `shots` as a sequence; undefined when a shot of it is not right. */
export function resolveShots(fields: FileFields, reading: Reading): Sequence | undefined {
  const { found } = reading;
  const { shots = [] } = fields as { readonly shots?: Shots };
  const report: Report = (path, message) => found.push({ path, message });
  if (shots[0]?.transition !== undefined) {
    report(['shots', 0, 'transition'], 'leads here from nothing: the first shot takes none');
  }
  const placed = shots.map((shot, index) => placedShot(fields, shot, index, reading));
  if (placed.some((one) => one === undefined)) return undefined;
  const all = placed.flatMap((one) => one!);
  const [first] = all;
  if (first === undefined) return undefined;
  checkTimes(all, fields.duration, report);
  const sequence = sequenceOf(
    reading.file,
    all.map(({ scene }) => scene),
    all.slice(1).map(({ transition }) => transition),
  );
  const { duration } = sequence;
  const fileOf = (name: string) => resolve(dirname(resolve(reading.file)), name);
  return { ...sequence, sound: resolveSound(fields.sound, { duration, fileOf, report }) };
}

/** A shot as written: one shot, or those of the file that it names. */
function placedShot(
  fields: FileFields,
  shot: ShotFields,
  index: number,
  reading: Reading,
): readonly Placed[] | undefined {
  const { transition = CUT } = shot;
  const path = ['shots', index];
  if (shot.scene !== undefined) return nestedShots(fields, shot, path, reading);
  const scene = ownShot(fields, shot, path, reading);
  return scene && [{ scene, transition, path }];
}

const CUT: Transition = { kind: 'cut' };

function ownShot(
  fields: FileFields,
  shot: ShotFields,
  base: Path,
  { file, framed, found, masterOf }: Reading,
): Scene | undefined {
  const { scene, overrides, transition, ...own } = shot;
  const fieldsOfShot = written(own);
  const merged = { ...defaultsOf(fields, fieldsOfShot), ...fieldsOfShot } as Partial<SceneFields>;
  const missing = [
    ...(merged.master === undefined ? [{ name: 'master', message: missingMaster() }] : []),
    ...missingFields(merged),
  ];
  for (const { name, message } of missing) {
    const path = [...base, name];
    if (!isTold(found, path)) found.push({ path, message });
  }
  if (missing.length > 0) return undefined;

  const outputs = overridden(fields, shot, base, found);
  /** Where in the file what the shot's scene has at `path` was written. */
  const placeOf = (path: Path): Path => {
    const [name, place, ...rest] = path;
    const override = name === 'outputs' ? outputs.overrides[Number(place)] : undefined;
    if (override !== undefined && String(rest[0]) in written(overrides![override]!)) {
      return [...base, 'overrides', override, ...rest];
    }
    return String(name) in fieldsOfShot ? [...base, ...path] : path;
  };
  const report: Report = (path, message) => found.push({ path, message });
  const resolved = resolveScene(
    { ...(merged as SceneFields), outputs: outputs.list },
    file,
    (path, message) => report(placeOf(path), message),
    masterOf((merged as SceneFields).master),
  );
  const placed = withPaths(resolved, (path) => pathText(placeOf(pathOf(path))));
  if (framed) {
    checkFraming(placed, report);
    checkBall(placed, report);
  }
  // Fields of view must be right for it.
  return found.length > 0 ? placed : aimScene(placed, report);
}

/** Only the fields that were written. */
const written = <T extends object>(fields: T): Partial<T> =>
  Object.fromEntries(
    Object.entries(fields).filter(([, value]) => value !== undefined),
  ) as Partial<T>;

/** What the file says for its shots; moves and keyframes of its own are all of what a shot does. */
function defaultsOf(fields: FileFields, own: object) {
  const { shots, duration, sound, moves, keyframes, ...defaults } = fields;
  const scripted = 'moves' in own || 'keyframes' in own;
  return { ...defaults, ...(scripted ? {} : written({ moves, keyframes })) };
}

const isTold = (found: readonly Fault[], path: Path): boolean =>
  found.some((fault) => pathText(fault.path) === pathText(path));

const missingMaster = (): string =>
  sceneSchema.shape.master.safeParse(undefined).error!.issues[0]!.message;

/** The file's outputs with what the shot says of some; and which override each of them has. */
function overridden(fields: FileFields, shot: ShotFields, base: Path, found: Fault[]) {
  const overrides = new Map<number, number>();
  const groups = fields.outputs.map((output) => ('shape' in output ? output : { shape: output }));
  for (const [index, { shape }] of (shot.overrides ?? []).entries()) {
    const places = groups.flatMap((group, place) => (group.shape.name === shape.name ? place : []));
    const path = [...base, 'overrides', index, 'shape'];
    if (places.length === 0) {
      const names = groups.map((group) => group.shape.name).join(', ');
      found.push({ path, message: `is none of the file's outputs: ${names}` });
    }
    for (const place of places) {
      if (overrides.has(place)) found.push({ path, message: 'has an override here already' });
      overrides.set(place, index);
    }
  }
  const list = groups.map((group, place) => {
    const index = overrides.get(place);
    if (index === undefined) return group;
    return { ...group, ...written(shot.overrides![index]!) };
  });
  return { list, overrides: Array.from(groups, (_, place) => overrides.get(place)) };
}

/** The scene with the places of its keyframes and overlays changed. */
function withPaths(scene: Scene, change: (path: string) => string): Scene {
  const renamed = (keyframes: readonly Keyframe[]) =>
    keyframes.map((keyframe) => ({ ...keyframe, path: change(keyframe.path) }));
  return {
    ...scene,
    keyframes: renamed(scene.keyframes),
    overlays: scene.overlays.map((overlay) => ({ ...overlay, path: change(overlay.path) })),
    outputs: scene.outputs.map((output) => ({ ...output, keyframes: renamed(output.keyframes) })),
  };
}

/** The shots of another file, in this one's outputs and frame rate. */
function nestedShots(
  fields: FileFields,
  { scene: name = '', transition = CUT, ...more }: ShotFields,
  base: Path,
  { nested, framed, found, file }: Reading,
): readonly Placed[] | undefined {
  for (const key of Object.keys(more).filter((key) => more[key] !== undefined)) {
    const message = `stands beside scene: ${name}, which says that itself; leave one of the two out`;
    found.push({ path: [...base, key], message, key: 'key' });
  }
  if (!nested.has(name)) {
    const path = [...base, 'scene'];
    if (!isTold(found, path)) found.push({ path, message: `names ${name}, which was not read` });
  }
  const sequence = nested.get(name);
  if (sequence === undefined) return undefined;
  const unheard = fields.sound === undefined ? unheardSound(sequence, name, base) : [];
  return sequence.shots.map((shot, index) => {
    const scene = {
      ...fitted(shot, fields, file),
      told: index === 0 ? unheard : [],
    };
    const report: Report = (path, message) =>
      found.push({
        path: [...base, 'scene'],
        message: `in ${name}, ${pathText(path)}: ${message}`,
      });
    if (framed) {
      checkFraming(scene, report);
      checkBall(scene, report);
    }
    const aimed = found.length > 0 ? scene : aimScene(scene, report);
    const before = index === 0 ? transition : sequence.transitions[index - 1]!;
    return { scene: aimed, transition: before, path: base, inner: index > 0 };
  });
}

/** Of several shots, only the file that puts them together says what sounds. */
function unheardSound({ sound }: Sequence, name: string, base: Path): Warning[] {
  const { own, track, loudness } = sound;
  if (own && track === undefined && loudness === undefined) return [];
  const path = pathText([...base, 'scene']);
  const message = `the sound of ${name} does not count here, where several shots have one sound: say it again at the top of this file, with 'sound:'`;
  return [{ path, message }];
}

/** A shot in the outputs and at the frame rate of the file that takes it in. */
function fitted(shot: Scene, { fps, outputs }: FileFields, file: string): Scene {
  return {
    ...shot,
    fps,
    outputs: outputs.map((output): Output => {
      const own = 'shape' in output ? output : { shape: output, file: undefined };
      const { file: _, ...rest } = outputsOf(shot, own.shape)[0]!;
      return own.file === undefined ? rest : { ...rest, file: resolve(file, '..', own.file) };
    }),
  };
}
