import { Option } from 'commander';
import { InputError, type Problem } from '../errors.js';
import { QUALITIES, type Quality } from '../render/quality.js';
import { parseShape, shapes } from '../scene/shapes.js';
import {
  fpsTakes,
  type Moment,
  momentSeconds,
  parseFps,
  parseMoment,
  timeTakes,
} from '../scene/time.js';
import { complaint, didYouMean, listed, shortNumber } from '../scene/words.js';

/** Gathers the values of an option that may be repeated. */
export const collect = (value: string, before: readonly string[] = []): string[] => [
  ...before,
  value,
];

export const shapeOption = (usual = "the scene's outputs"): Option =>
  new Option(
    '--shape <shape>',
    `frame: ${SHAPES_TAKEN}; repeat it for several (default: ${usual})`,
  ).argParser(collect);

export const oneShapeOption = (): Option =>
  new Option('--shape <shape>', `frame: ${SHAPES_TAKEN} (default: the scene's first)`);

const SHAPES_TAKEN = `${shapes.map(({ name }) => name).join(', ')}, or width x height in pixels (1080x1350)`;

export const qualityOption = (): Option =>
  new Option(
    '--quality <quality>',
    'draft (quick, to judge the movement), final, or best (up to 64 rays a pixel, many times slower) (default: final)',
  );

/** Of commands that draw, and start no encoder. */
export const readerOption = (): Option =>
  new Option(
    '--ffmpeg <path>',
    'the ffmpeg that reads OpenEXR and video masters (default: the one installed)',
  );

export const overwriteOption = (): Option =>
  new Option('--overwrite', 'replace files that exist already');

export const quietOption = (): Option => new Option('--quiet', 'print nothing but errors');

export const jsonOption = (): Option => new Option('--json', 'print JSON, for programs');

/** Reads options' texts and gathers what is wrong, so that all is told in one go. */
export class OptionReader {
  readonly #problems: Problem[] = [];

  problem(option: string, message: string): void {
    this.#problems.push({ place: '', path: option, message });
  }

  /** `parse` yields undefined for what the option does not take. */
  read<T>(
    option: string,
    text: string | undefined,
    takes: string,
    parse: (text: string) => T | undefined,
  ): T | undefined {
    if (text === undefined) return undefined;
    const value = parse(text);
    if (value === undefined) this.problem(option, complaint(takes, text));
    return value;
  }

  fps(text: string | undefined): number | undefined {
    return this.read('--fps', text, fpsTakes, parseFps);
  }

  moment(option: string, text: string | undefined): Moment | undefined {
    return this.read(option, text, timeTakes, parseMoment);
  }

  quality(text = 'final'): Quality {
    const quality = QUALITIES.find((name) => name === text);
    if (quality !== undefined) return quality;
    const takes = `takes ${listed(QUALITIES)}`;
    this.problem('--quality', `${complaint(takes, text)}${didYouMean(text, QUALITIES)}`);
    return 'final';
  }

  shapes(texts: readonly string[]): void {
    for (const text of texts) {
      const shape = parseShape(text);
      if ('problem' in shape) this.problem('--shape', shape.problem);
    }
  }

  /** @throws InputError with all that was wrong so far */
  done(): void {
    if (this.#problems.length > 0) throw new InputError(this.#problems);
  }
}

/** A time given on the command line, in seconds, once the scene's duration is known. */
export function secondsWithin(
  reader: OptionReader,
  option: string,
  moment: Moment | undefined,
  duration: number,
): number | undefined {
  if (moment === undefined) return undefined;
  const seconds = momentSeconds(moment, duration);
  if (seconds <= duration) return seconds;
  const length = `${shortNumber(duration)} s`;
  reader.problem(
    option,
    `takes a time from 0 to the scene's duration, ${length}, found ${shortNumber(seconds)} s`,
  );
  return undefined;
}
