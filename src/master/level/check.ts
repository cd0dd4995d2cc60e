import { resolve } from 'node:path';
import { fileProblems } from '../../encode/target.js';
import { InputError, type Problem } from '../../errors.js';
import { checkFormat } from '../complete/save.js';
import type { LevelOptions } from './types.js';

const LEAST_POINTS = 2;

/** Throws InputError with every problem of the options that shows before the file is opened. */
export async function checkOptions(options: LevelOptions): Promise<void> {
  const { input, output, overwrite = false } = options;
  const problems: Problem[] = [...wayProblems(options), ...numberProblems(options)];
  if (resolve(input) === resolve(output)) {
    problems.push({
      place: output,
      path: '',
      message: 'expected another file than the input: the master itself is never overwritten.',
    });
  } else problems.push(...(await fileProblems(output, overwrite)));
  if (problems.length > 0) throw new InputError(problems);
  checkFormat(output);
}

const about = (path: string, message: string): Problem => ({ place: '', path, message });

/** Of the ways to say how to turn, one is expected. */
function wayProblems({ yaw, pitch, roll, horizon, auto, north }: LevelOptions): Problem[] {
  const turned = [yaw, pitch, roll].some((angle) => angle !== undefined);
  const ways = [
    ...(turned ? ['yaw, pitch and roll'] : []),
    ...(horizon !== undefined ? ['points on the horizon'] : []),
    ...(auto === true ? ['auto'] : []),
  ];
  if (ways.length === 0 && north === undefined) {
    const message =
      'expected yaw, pitch or roll, points on the horizon, auto, or north; found none of them.';
    return [about('', message)];
  }
  if (ways.length > 1) {
    return [about('', `expected one way to level, found ${ways.join(' and ')}: choose one.`)];
  }
  if (turned && north !== undefined) {
    const message =
      'expected it alone, with points on the horizon or with auto, found it beside yaw, pitch or roll: give the yaw instead.';
    return [about('north', message)];
  }
  if (horizon !== undefined && horizon.length < LEAST_POINTS) {
    const message = `expected at least ${LEAST_POINTS} points on the horizon, found ${horizon.length}.`;
    return [about('horizon', message)];
  }
  return [];
}

function numberProblems(options: LevelOptions): Problem[] {
  const within = (path: string, value: number | undefined, low: number, high: number): Problem[] =>
    value === undefined || (value >= low && value <= high)
      ? []
      : [about(path, `expected ${low} to ${high}, found ${value}.`)];
  const { yaw, pitch, roll, north, quality, threads } = options;
  return [
    ...within('yaw', yaw, -360, 360),
    ...within('pitch', pitch, -90, 90),
    ...within('roll', roll, -180, 180),
    ...(north === undefined || (north >= 0 && north < 360)
      ? []
      : [about('north', `expected from 0 to below 360, found ${north}.`)]),
    ...within('quality', quality, 1, 100),
    ...within('threads', threads, 1, 256),
  ];
}
