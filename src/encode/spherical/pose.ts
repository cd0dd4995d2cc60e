import { InputError, type Problem } from '../../errors.js';
import type { Bounds } from './bytes.js';

/** @throws InputError with every angle (degrees) and edge that a claim may not have */
export function checkPose(pose: Record<'yaw' | 'pitch' | 'roll', number>, bounds: Bounds): void {
  const limits = { yaw: 180, pitch: 90, roll: 180 };
  const problems: Problem[] = (Object.keys(limits) as (keyof typeof limits)[])
    .filter((name) => !(Math.abs(pose[name]) <= limits[name]))
    .map((name) => ({
      place: '',
      path: name,
      message: `expected -${limits[name]} to ${limits[name]} degrees, found ${pose[name]}`,
    }));
  const { top, bottom, left, right } = bounds;
  const edges = [top, bottom, left, right];
  if (!edges.every((edge) => edge >= 0) || !(top + bottom < 1) || !(left + right < 1)) {
    const message = `expected shares from 0 that leave some picture, found ${edges.join(', ')}`;
    problems.push({ place: '', path: 'bounds', message });
  }
  if (problems.length > 0) throw new InputError(problems);
}
