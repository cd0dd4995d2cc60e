import type { ProjectionChoice } from '../camera/types.js';
import type { VideoFacts } from '../check.js';
import type { Flashing } from '../comfort/flashes.js';
import { flashingText } from '../comfort/words.js';
import type {
  KeyframeSummary,
  OutputSummary,
  SequenceSummary,
  ShotSummary,
} from '../scene/summary.js';
import type { Transition } from '../scene/types.js';
import { fpsText, shortNumber } from '../scene/words.js';
import { shown } from './names.js';
import { columns, paint } from './terminal.js';
import { videoText } from './video-text.js';

/** What is in a scene, for people. */
export function summaryText(
  scene: SequenceSummary,
  flashes: readonly ShapeFlashing[] = [],
  videos: ReadonlyMap<string, VideoFacts> = new Map(),
): string {
  const { file, duration, frames, fps, shots } = scene;
  const [first, ...more] = shots as [ShotSummary];
  const video = videos.get(first.master);
  const facts = columns([
    ...(more.length === 0 ? [['  master', shown(first.master)]] : []),
    ...(more.length === 0 && video !== undefined ? [['  video', videoText(video)]] : []),
    ['  duration', `${shortNumber(duration)} s`],
    ...(more.length === 0 ? ownFacts(first) : []),
    ['  frames', `${frames} at ${fpsText(fps)}`],
  ]);
  const head = `${paint('bold', shown(file))}\n${facts}`;
  const groups = (shot: ShotSummary) => alike(shot.outputs).map((outputs) => groupText(outputs));
  const told = [...shots.flatMap(toldOf), ...flashes.map(flashingLine)];
  const warnings = told.length > 0 ? [[paint('yellow', 'warnings'), ...told].join('\n')] : [];
  if (more.length === 0) return [head, ...groups(first), ...warnings].join('\n\n');
  const parts = shots.flatMap((shot, index) => {
    const from = shot.file === file ? '' : ` from ${shown(shot.file)}`;
    return [`${paint('bold', `Shot ${index + 1}`)}${from}`, ...groups(shot)];
  });
  return [head, shotTable(shots), ...parts, ...warnings].join('\n\n');
}

/** How the time of a single shot runs, where it is not simply the clip's. */
const ownFacts = ({ length, duration, loop }: ShotSummary): string[][] => [
  ...(length === duration ? [] : [['  own length', `${shortNumber(length)} s`]]),
  ...(loop ? [['  loop', 'the end flows into the start']] : []),
];

/** A stretch in which a clip of that shape flashes too much. */
export interface ShapeFlashing extends Flashing {
  readonly shape: string;
}

/** What is allowed in a shot, but may not be meant; times count from the shot's start. */
function toldOf(
  { warnings }: ShotSummary,
  index: number,
  { length }: readonly unknown[],
): string[] {
  const shot = length > 1 ? `shot ${index + 1}, ` : '';
  return warnings.map(
    ({ path, message }) => `  ${shot}${path === '' ? '' : `${path}: `}${message}`,
  );
}

const flashingLine = ({ shape, ...flashing }: ShapeFlashing): string =>
  `  ${shape} ${flashingText(flashing)}`;

/** When each shot begins and ends in the clip, and how one leads over into the next. */
const shotTable = (shots: readonly ShotSummary[]): string =>
  columns([
    ['  shot', 'from', 'to', 'transition', 'master'],
    ...shots.map(({ start, duration, transition, master }, index) => [
      `  ${index + 1}`,
      `${shortNumber(start)} s`,
      `${shortNumber(start + duration)} s`,
      transition === undefined ? '' : transitionText(transition),
      shown(master),
    ]),
  ]);

function transitionText(transition: Transition): string {
  if (transition.kind === 'cut') return 'cut';
  const length = `${transition.kind} of ${shortNumber(transition.duration)} s`;
  if (transition.kind === 'dissolve') return length;
  const { turns } = transition;
  return `${length}, ${shortNumber(turns)} ${Math.abs(turns) === 1 ? 'turn' : 'turns'}`;
}

/** Outputs in which the camera does the same, together. */
function alike(outputs: readonly OutputSummary[]): OutputSummary[][] {
  const groups = new Map<string, OutputSummary[]>();
  for (const output of outputs) {
    const key = JSON.stringify([output.keyframes, output.fastestTurn]);
    groups.set(key, [...(groups.get(key) ?? []), output]);
  }
  return [...groups.values()];
}

function groupText(outputs: readonly OutputSummary[]): string {
  const titles = outputs.map(({ shape, width, height, file }) => {
    const size = shape === `${width}x${height}` ? '' : ` ${width}x${height}`;
    return `${paint('bold', shape)}${size}${file === undefined ? '' : ` as ${shown(file)}`}`;
  });
  const [{ keyframes, fastestTurn }] = outputs as [OutputSummary];
  const looks = keyframes.some(({ look }) => look !== undefined);
  const balls = keyframes.some(({ ball }) => ball !== undefined);
  const table = columns([
    [
      ...['  at', 'yaw', 'pitch', 'roll', 'fov', 'projection'],
      ...(balls ? ['ball: yaw', 'pitch', 'degrees wide'] : []),
      ...(looks ? ['looks at'] : []),
    ],
    ...keyframes.map(keyframeRow),
  ]);
  const { degreesPerSecond, at } = fastestTurn;
  const turn =
    degreesPerSecond === 0
      ? 'none'
      : `${shortNumber(degreesPerSecond, 1)} degrees per second, at ${shortNumber(at)} s`;
  return `${titles.join('\n')}\n${table}\n  fastest turn: ${turn}`;
}

function keyframeRow(keyframe: KeyframeSummary) {
  const { at, yaw, pitch, roll, fov, projection, becoming, look, ball } = keyframe;
  const name = becoming
    ? `${choiceText(projection)}, ${Math.round(100 * becoming.share)}% ${choiceText(becoming)}`
    : choiceText(projection);
  return [
    `  ${shortNumber(at)} s`,
    ...[yaw, pitch, roll].map((angle) => shortNumber(angle, 1)),
    `${shortNumber(fov.degrees, 1)} ${fov.side}`,
    name,
    ...(ball ? [ball.yaw, ball.pitch, ball.appears] : []).map((angle) => shortNumber(angle, 1)),
    ...(look ? [`${look.mark}, ${look.place}`] : []),
  ];
}

function choiceText({ name, params }: ProjectionChoice): string {
  const list = Object.entries(params).map(([param, value]) => `${param} ${shortNumber(value)}`);
  return list.length === 0 ? name : `${name} (${list.join(', ')})`;
}
