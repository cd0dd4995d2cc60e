import { InputError } from '../errors.js';
import { quoted } from './commands.js';

interface Unplaced {
  readonly file: string;
  readonly width: number;
  readonly height: number;
  readonly kind?: 'photo' | 'video';
}

/** What can be done with a picture that is no whole sphere and says nowhere in it; `command` is the user's. */
export function placingChoices(
  picture: Unplaced,
  command: 'complete' | 'finish' | 'mark',
): InputError {
  const { file, width, height } = picture;
  const say = (name: string, options: string) =>
    `    orbreel master ${name} ${quoted(file)} ${options} ${name === 'mark' ? '--overwrite' : '--out FILE'}`;
  const ways = (...options: string[]) => options.map((option) => say(command, option));
  const degrees = ((height / width) * 360).toFixed(1);
  const lines = [
    `expected a whole sphere, twice as wide as high, found ${width}x${height} and no metadata that say where it lies. Choose:`,
    // One higher than half its width cannot go all round.
    ...(2 * height > width
      ? []
      : [
          `  the latitude of its upper or lower edge is known (all round, it covers ${degrees} degrees of height):`,
          ...ways('--top DEG', '--bottom DEG'),
          '  the row of the horizon is known, in pixels from its top:',
          ...ways('--horizon ROW'),
        ]),
    "  the whole sphere's size in pixels is known, and how far from its left and top edges this picture's are:",
    ...ways('--full WxH --at X,Y'),
    '  it does not go all round, but is so many degrees of longitude wide:',
    ...ways('--across DEG --top DEG', '--across DEG --horizon ROW'),
    ...twoEyes(picture, say),
    '  it is a flat picture, no part of a sphere: remove what claims otherwise:',
    say('mark', '--flat'),
  ];
  return new InputError([{ place: file, path: '', message: lines.join('\n') }]);
}

function twoEyes(
  { width, height, kind }: Unplaced,
  say: (name: string, options: string) => string,
): string[] {
  const eyes =
    width === height
      ? (['one above the other', 'top-bottom'] as const)
      : width === 4 * height
        ? (['side by side', 'left-right'] as const)
        : undefined;
  if (eyes === undefined) return [];
  const what = `  it holds two eyes of one sphere, ${eyes[0]}:`;
  return kind === 'video'
    ? [what, say('mark', `--stereo ${eyes[1]}`)]
    : [`${what} cut one of them out first`];
}
