import { basename, dirname, extname, join, relative } from 'node:path';
import { InputError } from '../errors.js';
import type { Delivery } from '../render.js';
import type { Sequence, SequenceOutput } from '../scene/types.js';

const NUMBER = /%0?\d?d/u;

/**
 * Where the clips go: `out`, if given, with the shape added when there are several; else what the
 * scene file says; else `<scene>-<shape>` with `ending` in the current folder.
 *
 * @throws InputError when two would have the same name
 */
export function clipDeliveries(
  { name, outputs }: Sequence,
  out: string | undefined,
  ending = '.mp4',
): Delivery[] {
  return distinct(
    outputs.map((output) => ({
      output,
      file:
        out === undefined
          ? (output.file ?? `${name}-${output.shape}${ending}`)
          : named(out, output, outputs.length),
    })),
  );
}

/** Where the stills of the instant `at` (seconds, as text) go; the scene's own names are for clips. */
export function stillDeliveries(
  { name, outputs }: Sequence,
  out: string | undefined,
  at: string,
): Delivery[] {
  return distinct(
    outputs.map((output) => ({
      output,
      file:
        out === undefined
          ? `${name}-${output.shape}-${at}s.png`
          : named(out, output, outputs.length),
    })),
  );
}

/** A path as people like to read it: from the current folder, unless that leads far up. */
export function shown(file: string): string {
  const path = relative('', file);
  return path === '' || path.startsWith('..') ? file : path;
}

function named(out: string, { shape }: SequenceOutput, count: number): string {
  if (count === 1) return out;
  const file = basename(out);
  if (/[/\\]$/u.test(out)) return join(dirname(out), `${file}-${shape}`) + out.at(-1);
  const number = NUMBER.exec(file);
  if (number) {
    const before = file.slice(0, number.index);
    return join(dirname(out), `${before}${shape}-${file.slice(number.index)}`);
  }
  const extension = extname(file);
  return join(dirname(out), `${basename(file, extension)}-${shape}${extension}`);
}

function distinct(deliveries: Delivery[]): Delivery[] {
  const problems = deliveries.flatMap(({ file, output }, index) => {
    const first = deliveries.findIndex((other) => other.file === file);
    if (first === index) return [];
    const message = `two outputs of the shape ${output.shape} would have this name: give each a file of its own in the scene`;
    return [{ place: file, path: '', message }];
  });
  if (problems.length > 0) throw new InputError(problems);
  return deliveries;
}
