import { InputError, type Problem } from '../errors.js';
import { aimScene } from './aim.js';
import { checkBall } from './ball-check.js';
import { pathText } from './faults.js';
import { checkFraming } from './framing-check.js';
import { frameOf, type Report, wholeSphere } from './resolve.js';
import { sequenceOf } from './sequence.js';
import { isSphere, parseShape, type Shape } from './shapes.js';
import { fpsTakes, parseFps } from './time.js';
import type { Output, Scene, Sequence } from './types.js';
import { complaint } from './words.js';

/** The sequence with every shot as `change` has it. */
const eachShot = (scene: Sequence, change: (shot: Scene) => Scene): Sequence =>
  sequenceOf(scene.file, scene.shots.map(change), scene.transitions);

/**
 * The scene delivered in the given shapes (names or `WxH`) instead of its own outputs. An output
 * that the scene has in such a shape keeps its overrides; others follow the scene's own keyframes.
 *
 * @throws InputError for what is no shape, and where a field of view does not fit a frame.
 */
export function withShapes(scene: Sequence, shapes: readonly string[]): Sequence {
  const problems: Problem[] = [];
  const wanted = [...new Set(shapes)].flatMap((text) => {
    const shape = parseShape(text);
    if (!('problem' in shape)) return [shape];
    problems.push({ place: '', path: '--shape', message: shape.problem });
    return [];
  });
  if (problems.length > 0) throw new InputError(problems);
  return framed(
    eachShot(scene, (shot) => {
      const outputs = wanted.flatMap((shape) => outputsOf(shot, shape));
      return { ...shot, outputs: [...new Set(outputs)] };
    }),
  );
}

/** The scene at another frame rate: 1 to 240, or a fraction such as `30000/1001`. */
export function withFps(scene: Sequence, fps: number | string): Sequence {
  const value = parseFps(fps);
  if (value === undefined) {
    throw new InputError([{ place: '', path: '--fps', message: complaint(fpsTakes, fps) }]);
  }
  return framed(eachShot(scene, (shot) => ({ ...shot, fps: value })));
}

/** The scene's outputs in that shape, or a new one that follows its own keyframes; at least one. */
export function outputsOf(scene: Scene, shape: Shape): readonly Output[] {
  const named = scene.outputs.filter((output) => output.shape === shape.name);
  const sized = scene.outputs.filter(
    ({ shape: name, width, height }) =>
      !isSphere(name) && !isSphere(shape.name) && width === shape.width && height === shape.height,
  );
  if (named.length > 0) return named;
  if (sized.length > 0) return sized;
  const { background, keyframes } = scene;
  const own = isSphere(shape.name) ? wholeSphere(keyframes) : keyframes;
  return [{ ...frameOf(shape), background, keyframes: own }];
}

function framed(scene: Sequence): Sequence {
  const problems: Problem[] = [];
  const aimed = eachShot(scene, (shot) => {
    const before = problems.length;
    const report: Report = (path, message) =>
      problems.push({ place: shot.file, path: pathText(path), message });
    checkFraming(shot, report);
    checkBall(shot, report);
    return problems.length > before ? shot : aimScene(shot, report);
  });
  if (problems.length > 0) throw new InputError(problems);
  return aimed;
}
