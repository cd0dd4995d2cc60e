import type { ProjectionChoice } from '../camera/types.js';
import type {
  KeyframeSummary,
  OutputSummary,
  SequenceSummary,
  ShotSummary,
} from '../scene/summary.js';
import type { Warning } from '../scene/warnings.js';
import { shortNumber } from '../scene/words.js';
import { shown } from './names.js';
import { columns, paint } from './terminal.js';

/** What is in a scene, for people. */
export function summaryText(scene: SequenceSummary): string {
  const [shot] = scene.shots as [ShotSummary];
  const facts = columns([
    ['  master', shown(shot.master)],
    ['  duration', `${shortNumber(scene.duration)} s`],
    ...(shot.length === shot.duration ? [] : [['  own length', `${shortNumber(shot.length)} s`]]),
    ...(shot.loop ? [['  loop', 'the end flows into the start']] : []),
    ['  frames', `${scene.frames} at ${shortNumber(scene.fps)} frames per second`],
  ]);
  const groups = alike(shot.outputs).map((outputs) => groupText(outputs));
  const told = scene.shots.flatMap((shot) => shot.warnings);
  const warnings = told.length > 0 ? [warningsText(told)] : [];
  return [`${paint('bold', shown(scene.file))}\n${facts}`, ...groups, ...warnings].join('\n\n');
}

/** What is allowed, but may not be meant. */
function warningsText(warnings: readonly Warning[]): string {
  const lines = warnings.map(
    ({ path, message }) => `  ${path === '' ? '' : `${path}: `}${message}`,
  );
  return [paint('yellow', 'warnings'), ...lines].join('\n');
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
  const table = columns([
    ['  at', 'yaw', 'pitch', 'roll', 'fov', 'projection', ...(looks ? ['looks at'] : [])],
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
  const { at, yaw, pitch, roll, fov, projection, becoming, look } = keyframe;
  const name = becoming
    ? `${choiceText(projection)}, ${Math.round(100 * becoming.share)}% ${choiceText(becoming)}`
    : choiceText(projection);
  return [
    `  ${shortNumber(at)} s`,
    ...[yaw, pitch, roll].map((angle) => shortNumber(angle, 1)),
    `${shortNumber(fov.degrees, 1)} ${fov.side}`,
    name,
    ...(look ? [`${look.mark}, ${look.place}`] : []),
  ];
}

function choiceText({ name, params }: ProjectionChoice): string {
  const list = Object.entries(params).map(([param, value]) => `${param} ${shortNumber(value)}`);
  return list.length === 0 ? name : `${name} (${list.join(', ')})`;
}
