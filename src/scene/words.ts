import { closest, distance } from 'fastest-levenshtein';

/** How people write numbers that are none. */
const YAML_NAMES: Readonly<Record<string, string>> = {
  NaN: '.nan',
  Infinity: '.inf',
  '-Infinity': '-.inf',
};

/** A value as a message shows it: `'left'`, 200, a list, nothing. */
export function describe(value: unknown): string {
  if (value === undefined || value === null) return 'nothing';
  if (Array.isArray(value)) return value.length === 0 ? 'an empty list' : 'a list';
  if (typeof value === 'object') return 'a group of fields';
  if (typeof value === 'number' && !Number.isFinite(value)) return YAML_NAMES[String(value)]!;
  if (typeof value !== 'string') return String(value);
  if (value === '') return 'an empty text';
  const line = value.replace(/\s+/gu, ' ');
  return `'${line.length > 40 ? `${line.slice(0, 39)}…` : line}'`;
}

/** "a, b or c" (or with another last word). */
export function listed(words: readonly string[], last = 'or'): string {
  return words.length < 2
    ? (words[0] ?? '')
    : `${words.slice(0, -1).join(', ')} ${last} ${words[words.length - 1]}`;
}

/** Other words of the trade for what the scene and the command line take. */
const OTHER_NAMES: Readonly<Record<string, string>> = {
  time: 'at',
  pan: 'yaw',
  tilt: 'pitch',
  bank: 'roll',
  zoom: 'fov',
  angle: 'fov',
  easing: 'ease',
  lens: 'projection',
  frames: 'keyframes',
  shapes: 'outputs',
  formats: 'outputs',
  length: 'duration',
  source: 'master',
  image: 'master',
  picture: 'master',
  'top-left': 'upper-left',
  'top-right': 'upper-right',
  'bottom-left': 'lower-left',
  'bottom-right': 'lower-right',
  middle: 'centre',
  target: 'look',
  position: 'place',
  points: 'marks',
  compass: 'north',
  look: 'mark',
  h265: 'hevc',
  'h.265': 'hevc',
  x265: 'hevc',
  avc: 'h264',
  x264: 'h264',
  prores: 'prores-422hq',
  jpg: 'jpeg',
  tif: 'tiff',
};

/** The option that `word` is most likely a slip of, if any is near enough. */
export function guess(word: string, options: readonly string[]): string | undefined {
  if (options.length === 0 || word === '' || word.length > 40) return undefined;
  const plain = word.toLowerCase().replace(/[\s_]+/gu, '-');
  const also = OTHER_NAMES[plain];
  if (also !== undefined && options.includes(also)) return also;
  const begun = options.filter((option) => option.toLowerCase().startsWith(plain));
  if (plain.length > 2 && begun.length === 1) return begun[0];
  const best = closest(
    plain,
    options.map((option) => option.toLowerCase()),
  );
  const slips = distance(plain, best);
  if (slips > Math.max(1, Math.floor(best.length / 3))) return undefined;
  return options.find((option) => option.toLowerCase() === best);
}

/** " Did you mean 'fov'?", or nothing. */
export function didYouMean(word: unknown, options: readonly string[]): string {
  const best = typeof word === 'string' ? guess(word, options) : undefined;
  return best === undefined ? '' : `. Did you mean '${best}'?`;
}

/** "1 frame", "240 frames". */
export const countOf = (count: number, one: string, many = `${one}s`): string =>
  `${count} ${count === 1 ? one : many}`;

/** A number for people: at most `digits` decimals, no trailing zeros. */
export function shortNumber(value: number, digits = 3): string {
  return String(Number(value.toFixed(digits)));
}

/** "1 frame per second", "29.97 frames per second". */
export const fpsText = (fps: number): string =>
  `${shortNumber(fps)} ${fps === 1 ? 'frame' : 'frames'} per second`;

export const MISSING = 'is missing';

/** "takes ..., found ..." or "is missing; it takes ...". */
export const complaint = (takes: string, found: unknown): string =>
  found === undefined ? `${MISSING}; it ${takes}` : `${takes}, found ${describe(found)}`;
