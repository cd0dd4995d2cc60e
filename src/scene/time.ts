/** `1.5`, `1.5s`: seconds. */
const SECONDS = /^(\d+(?:\.\d*)?|\.\d+)\s*s?$/u;
/** `00:01.500` (minutes, seconds), `01:02:03.5` (hours, minutes, seconds). */
const TIMECODE = /^(?:(\d+):)?(\d{1,2}):(\d{1,2}(?:\.\d*)?)$/u;
const PERCENT = /^(\d+(?:\.\d*)?|\.\d+)\s*%$/u;
const FRACTION = /^(\d+)\s*\/\s*(\d+)$/u;

/** What a duration may be, for messages. */
export const durationTakes =
  "takes seconds (8 or '1.5s') or a timecode ('00:01.500'), more than 0 and at most an hour";
export const timeTakes =
  "takes seconds from 0 up (2 or '1.5s'), a timecode ('00:01.500') or a share of the duration ('50%')";

/** The longest clip, in seconds. */
export const LONGEST = 3600;

/** Seconds of a number or text; undefined when it is no time. Never negative. */
export function parseSeconds(value: number | string): number | undefined {
  if (typeof value === 'number') return Number.isFinite(value) && value >= 0 ? value : undefined;
  const text = value.trim();
  const plain = SECONDS.exec(text);
  if (plain) return Number(plain[1]);
  const code = TIMECODE.exec(text);
  if (!code) return undefined;
  const [hours, minutes, seconds] = [Number(code[1] ?? 0), Number(code[2]), Number(code[3])];
  if (seconds >= 60 || (code[1] !== undefined && minutes >= 60)) return undefined;
  return (hours * 60 + minutes) * 60 + seconds;
}

export function parseDuration(value: number | string): number | undefined {
  const seconds = parseSeconds(value);
  return seconds !== undefined && seconds > 0 && seconds <= LONGEST ? seconds : undefined;
}

/** A moment of the clip: seconds, or a share (0 and up) of its duration. */
export type Moment = { readonly seconds: number } | { readonly share: number };

export function parseMoment(value: number | string): Moment | undefined {
  if (typeof value === 'string') {
    const percent = PERCENT.exec(value.trim());
    if (percent) return { share: Number(percent[1]) / 100 };
  }
  const seconds = parseSeconds(value);
  return seconds === undefined ? undefined : { seconds };
}

export const momentSeconds = (moment: Moment, duration: number): number =>
  'seconds' in moment ? moment.seconds : moment.share * duration;

export const LOWEST_FPS = 1;
export const HIGHEST_FPS = 240;
export const fpsTakes = `takes ${LOWEST_FPS} to ${HIGHEST_FPS} frames per second, or a fraction such as '30000/1001'`;

/** The rounded names of the rates that are whole rates times 1000/1001 (common practice, no source). */
const ROUNDED = new Map([
  [23.976, 24000 / 1001],
  [23.98, 24000 / 1001],
  [29.97, 30000 / 1001],
  [47.952, 48000 / 1001],
  [47.95, 48000 / 1001],
  [59.94, 60000 / 1001],
  [119.88, 120000 / 1001],
]);

/** Frames per second, 1 to 240; 29.97 and its like are taken for 30000/1001 and theirs. */
export function parseFps(value: number | string): number | undefined {
  const fraction = typeof value === 'string' ? FRACTION.exec(value.trim()) : null;
  let fps = Number.NaN;
  if (typeof value === 'number') fps = value;
  else if (fraction) fps = Number(fraction[1]) / Number(fraction[2]);
  else if (/^\d+(?:\.\d*)?$/u.test(value.trim())) fps = Number(value);
  if (!(fps >= LOWEST_FPS && fps <= HIGHEST_FPS)) return undefined;
  return ROUNDED.get(fps) ?? fps;
}
