import type { ProjectionChoice } from '../camera/types.js';
import type {
  KeyframeSummary,
  OutputSummary,
  SequenceSummary,
  ShotSummary,
} from '../scene/summary.js';
import { shortNumber } from '../scene/words.js';
import { shown } from './names.js';
import { columns, paint } from './terminal.js';

/** What is in a scene, for people. */
export function summaryText(scene: SequenceSummary): string {
  const [shot] = scene.shots as [ShotSummary];
  const facts = columns([
    ['  master', shown(shot.master)],
    ['  duration', `${shortNumber(scene.duration)} s`],
    ['  frames', `${scene.frames} at ${shortNumber(scene.fps)} frames per second`],
  ]);
  const groups = alike(shot.outputs).map((outputs) => groupText(outputs));
  return [`${paint('bold', shown(scene.file))}\n${facts}`, ...groups].join('\n\n');
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
  const table = columns([
    ['  at', 'yaw', 'pitch', 'roll', 'fov', 'projection'],
    ...keyframes.map(keyframeRow),
  ]);
  const { degreesPerSecond, at } = fastestTurn;
  const turn =
    degreesPerSecond === 0
      ? 'none'
      : `${shortNumber(degreesPerSecond, 1)} degrees per second, at ${shortNumber(at)} s`;
  return `${titles.join('\n')}\n${table}\n  fastest turn: ${turn}`;
}

function keyframeRow({ at, yaw, pitch, roll, fov, projection, becoming }: KeyframeSummary) {
  const name = becoming
    ? `${choiceText(projection)}, ${Math.round(100 * becoming.share)}% ${choiceText(becoming)}`
    : choiceText(projection);
  return [
    `  ${shortNumber(at)} s`,
    ...[yaw, pitch, roll].map((angle) => shortNumber(angle, 1)),
    fov === null ? '-' : `${shortNumber(fov.degrees, 1)} ${fov.side}`,
    name,
  ];
}

function choiceText({ name, params }: ProjectionChoice): string {
  const list = Object.entries(params).map(([param, value]) => `${param} ${shortNumber(value)}`);
  return list.length === 0 ? name : `${name} (${list.join(', ')})`;
}
