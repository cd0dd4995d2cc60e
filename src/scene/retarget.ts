import { InputError, type Problem } from '../errors.js';
import { pathText } from './faults.js';
import { checkFraming } from './framing-check.js';
import { frameOf, wholeSphere } from './resolve.js';
import { isSphere, parseShape, type Shape } from './shapes.js';
import { fpsTakes, parseFps } from './time.js';
import type { Output, Scene } from './types.js';
import { complaint } from './words.js';

/**
 * The scene delivered in the given shapes (names or `WxH`) instead of its own outputs. An output
 * that the scene has in such a shape keeps its overrides; others follow the scene's own keyframes.
 *
 * @throws InputError for what is no shape, and where a field of view does not fit a frame.
 */
export function withShapes(scene: Scene, shapes: readonly string[]): Scene {
  const problems: Problem[] = [];
  const outputs = [...new Set(shapes)].flatMap((text) => {
    const shape = parseShape(text);
    if (!('problem' in shape)) return outputsOf(scene, shape);
    problems.push({ place: '', path: '--shape', message: shape.problem });
    return [];
  });
  if (problems.length > 0) throw new InputError(problems);
  return framed({ ...scene, outputs: [...new Set(outputs)] });
}

/** The scene at another frame rate: 1 to 240, or a fraction such as `30000/1001`. */
export function withFps(scene: Scene, fps: number | string): Scene {
  const value = parseFps(fps);
  if (value === undefined) {
    throw new InputError([{ place: '', path: '--fps', message: complaint(fpsTakes, fps) }]);
  }
  return framed({ ...scene, fps: value });
}

function outputsOf(scene: Scene, shape: Shape): readonly Output[] {
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

function framed(scene: Scene): Scene {
  const problems: Problem[] = [];
  checkFraming(scene, (path, message) =>
    problems.push({ place: scene.file, path: pathText(path), message }),
  );
  if (problems.length > 0) throw new InputError(problems);
  return scene;
}
