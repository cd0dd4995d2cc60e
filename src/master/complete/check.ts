import { existsSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { InputError } from '../../errors.js';
import { degrees } from '../../math.js';
import type { Hole } from './holes.js';
import { checkPatch } from './mark.js';
import { checkFormat, isLossless } from './save.js';
import type { Surroundings } from './surroundings.js';
import type { Canvas, CompleteOptions, FillName, HoleReport } from './types.js';

const FILLS: readonly FillName[] = ['smooth', 'texture', 'colour', 'patch'];
/** Holes wider than this have no surroundings left to speak of; holes narrower than this, no texture. */
const WIDEST = 140 * (Math.PI / 180);
/** Pixels. */
const NARROWEST_TEXTURED = 8;
const WIDEST_TEXTURED = 75 * (Math.PI / 180);

/** Throws InputError with every problem of the options that shows before the file is opened. */
export function checkOptions(options: CompleteOptions): void {
  const { input, output, fill = 'texture', patch, seed = 1, quality = 95 } = options;
  const problems: string[] = [];
  if (!FILLS.includes(fill)) problems.push(`fill: expected ${FILLS.join(', ')}, found "${fill}".`);
  if (fill === 'patch' && !patch)
    problems.push('fill: "patch" needs a picture; give one as patch.image.');
  if (!Number.isInteger(seed)) problems.push(`seed: expected a whole number, found ${seed}.`);
  if (!(quality >= 1 && quality <= 100))
    problems.push(`quality: expected 1 to 100, found ${quality}.`);
  if (resolve(input) === resolve(output)) {
    problems.push(
      'expected another file than the input to write to; the master itself is never overwritten.',
    );
  } else if (existsSync(output) && !options.overwrite) {
    problems.push('exists already; choose another name, or allow overwriting.');
  }
  if (!existsSync(dirname(resolve(output))))
    problems.push('expected an existing folder to write into.');
  if (problems.length > 0) {
    throw new InputError(problems.map((message) => ({ place: output, path: '', message })));
  }
  checkFormat(output);
  if (patch) checkPatch(patch);
}

/** Throws InputError where too little of the sphere is known. */
export function checkHoles(input: string, canvas: Canvas, holes: readonly Hole[]): void {
  const widest = Math.max(0, ...holes.map((h) => h.radius));
  if (holes.reduce((n, h) => n + h.pixels, 0) === canvas.width * canvas.height || widest > WIDEST) {
    throw new InputError([
      {
        place: input,
        path: '',
        message:
          `expected holes of at most ${degrees(WIDEST)} degrees around their centre, found one of ` +
          `${degrees(widest).toFixed(0)}: too little of the sphere is known to complete it; 'orbreel master mark' marks it as the part that it is.`,
      },
    ]);
  }
}

/** What the user should know about what was done. */
export function notesOn(
  options: CompleteOptions,
  depth: 8 | 16,
  holes: readonly HoleReport[],
): string[] {
  const notes: string[] = [];
  if (holes.length === 0) {
    notes.push(
      options.mask === undefined
        ? 'The sphere was whole already.'
        : 'The sphere was whole already, and the mask marks nothing: white is what is filled.',
    );
  }
  if (depth === 16 && !isLossless(options.output)) {
    notes.push(
      'The output format holds 8 bit; choose .png or .tif to keep the 16 bit of the master.',
    );
  }
  const wanted = options.fill ?? 'texture';
  if (
    (wanted === 'texture' || wanted === 'patch') &&
    holes.some((h) => h.filledBy === 'smooth' && h.radius > degrees(WIDEST_TEXTURED))
  ) {
    notes.push(
      `Holes wider than ${Math.round(degrees(WIDEST_TEXTURED))} degrees around their centre were filled smoothly.`,
    );
  }
  return notes;
}

/** A hole of a few pixels has no texture of its own; one wider than a chart's reach, no one source. */
export function holdsTexture({ canvas, hole }: Surroundings): boolean {
  const across = (2 * hole.radius * canvas.width) / (2 * Math.PI);
  return across > NARROWEST_TEXTURED && hole.radius <= WIDEST_TEXTURED;
}
