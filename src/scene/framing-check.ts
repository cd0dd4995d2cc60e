import { type Span, spansOf } from '../camera/fovRange.js';
import { fovProblem } from '../camera/framing.js';
import type { FieldOfView, ProjectionChoice } from '../camera/types.js';
import { clamp, mix } from '../math.js';
import { findProjection } from '../projection/index.js';
import type { ProjectionParams } from '../projection/types.js';
import { frameTime } from '../timeline/frames.js';
import { type Framing, timelineOf } from '../timeline/sample.js';
import { lapOf } from '../timeline/timing.js';
import { pathOf } from './faults.js';
import type { Report } from './resolve.js';
import type { Ease, Keyframe, Output, Scene } from './types.js';
import { listed, shortNumber } from './words.js';

/**
 * Reports every keyframe, and every stretch between two, where the field of view is more than the
 * projection in force can show in an output's frame. Within a morph from one projection to another
 * the camera keeps to what both can show, so only the ends count there.
 */
export function checkFraming(scene: Scene, report: Report): void {
  const found = new Map<string, { path: string; message: string; shapes: string[] }>();
  for (const output of scene.outputs) {
    for (const { path, message } of framingFaults(output, scene)) {
      const same = found.get(`${path} ${message}`);
      if (same) same.shapes.push(output.shape);
      else found.set(`${path} ${message}`, { path, message, shapes: [output.shape] });
    }
  }
  for (const { path, message, shapes } of found.values()) {
    const only = shapes.length < scene.outputs.length ? ` (${listed(shapes, 'and')})` : '';
    report(pathOf(path), message + only);
  }
}

function framingFaults(output: Output, scene: Scene): { path: string; message: string }[] {
  const { keyframes } = output;
  const timeline = timelineOf(scene, output);
  const { fps } = scene;
  const period = lapOf(scene);
  const problemAt = (seconds: number) => sampleProblem(timeline.framing(seconds), output);
  const problems = keyframes.map(({ at }) => problemAt(at));
  const overshoots = keyframes.some(({ ease }) => overshooting(ease));
  return keyframes.flatMap((keyframe, index) => {
    const problem = problems[index];
    if (problem !== undefined) {
      // What only holds on to an earlier keyframe's value is not told again.
      if (index > 0 && problems[index - 1] === problem && !setsFraming(keyframe)) return [];
      return [{ path: pathOfFov(keyframe), message: problem }];
    }
    const next = keyframes[index + 1] ?? again(keyframes[0]!, period);
    if (next === undefined || problems[(index + 1) % problems.length] !== undefined) return [];
    const middle = timeline.framing((keyframe.at + next.at) / 2);
    if (morphing(middle) || (!overshoots && staysWithin(middle, output))) return [];
    for (let n = Math.floor(keyframe.at * fps) + 1; frameTime(n, fps) < next.at; n++) {
      const between = problemAt(frameTime(n, fps));
      if (between === undefined) continue;
      const where = `on the way to ${next.path}, at ${shortNumber(frameTime(n, fps))} s`;
      return [{ path: keyframe.path, message: `${where}, ${between}` }];
    }
    return [];
  });
}

/** The first keyframe on the next lap. */
export const again = (first: Keyframe, period: number | undefined): Keyframe | undefined =>
  period === undefined ? undefined : { ...first, at: first.at + period };

export const overshooting = (ease: Ease): boolean =>
  ease.kind === 'bezier' && (Math.min(...ease.points) < 0 || Math.max(...ease.points) > 1);

/** On the way from one projection to another; between two keyframes that holds all through or never. */
const morphing = ({ projection: { from, to, mix: share } }: Framing): boolean =>
  from.name !== to.name && share !== 0 && share !== 1;

/** Whether all between the two values that `sample` lies between is in range: one projection's range. */
function staysWithin({ projection, fov }: Framing, output: Output): boolean {
  const { from, to } = projection;
  const steady = JSON.stringify([from.name, from.params]) === JSON.stringify([to.name, to.params]);
  const atEnd = (end: FieldOfView) =>
    sampleProblem({ projection, fov: { from: end, to: end, mix: 0 } }, output);
  return (
    steady &&
    fov.from.side === fov.to.side &&
    atEnd(fov.from) === undefined &&
    atEnd(fov.to) === undefined
  );
}

const setsFraming = ({ fov, fovSide, projection }: Keyframe): boolean =>
  fov !== undefined || fovSide !== undefined || projection !== undefined;

function pathOfFov({ path, fov, projection }: Keyframe): string {
  if (fov !== undefined) return `${path}.fov`;
  return projection === undefined ? path : `${path}.projection`;
}

function sampleProblem(sample: Framing, output: Output): string | undefined {
  const { from, to, mix: share } = sample.projection;
  const choice = share === 1 ? to : from;
  const law = findProjection(choice.name);
  if (morphing(sample) || law === undefined) return undefined;
  const params = from.name === to.name ? paramsBetween(from, to, share) : choice.params;
  // Between two sides' measures the camera goes over by itself: there the earlier one counts.
  const [{ degrees, axis: side }] = spansOf(law, params, sample.fov, output) as [Span];
  const problemOf = (value: number) =>
    fovProblem(law, params, value, side, output.width, output.height);
  const problem = problemOf(degrees);
  // Told in few digits where that is still wrong.
  return problem && (problemOf(Number(shortNumber(degrees, 1))) ?? problem);
}

const paramsBetween = (
  from: ProjectionChoice,
  to: ProjectionChoice,
  share: number,
): ProjectionParams =>
  Object.fromEntries(
    Object.entries(from.params).map(([name, value]) => [
      name,
      mix(value, to.params[name] ?? value, clamp(share, 0, 1)),
    ]),
  );
