import type { ChoiceParam, NumberParam, PlaceParam, TargetParam } from './types.js';

type Said = { readonly begin?: true; readonly kept?: true };

const number = (
  unit: string,
  about: string,
  [min, usual, max]: readonly [min: number, usual: number, max: number],
  said: Said = {},
): NumberParam => ({ kind: 'number', unit, about, min, max, default: usual, ...said });

/** `range`: least, usual, most. */
export const degrees = (about: string, range: readonly [number, number, number], said?: Said) =>
  number('degrees', about, range, said);

export const seconds = (about: string, range: readonly [number, number, number]) =>
  number('seconds', about, range);

export const turns = (about: string, range: readonly [number, number, number]) =>
  number('turns', about, range);

export const choice = <const T extends readonly [string, ...string[]]>(
  about: string,
  options: T,
): ChoiceParam & { readonly options: T } => ({
  kind: 'choice',
  about,
  options,
  default: options[0],
});

export const target = (about: string, usual: number, said: Said = {}): TargetParam => ({
  kind: 'target',
  about,
  default: usual,
  ...said,
});

export const place = (about: string): PlaceParam => ({
  kind: 'place',
  about,
  default: [0.5, 0.5],
});

/** Of level views: what most moves end with. */
export const viewFov = (about: string, usual: number, said?: Said) =>
  degrees(about, [10, usual, 120], said);

/** Of little planets; wider makes them smaller. */
export const planetFov = (about: string, usual: number, said?: Said) =>
  degrees(about, [180, usual, 340], said);

export const viewPitch = (about: string, usual: number, said?: Said) =>
  degrees(about, [-85, usual, 85], said);

/** In place of a number for a side. */
export const side = (about: string) => choice(about, ['right', 'left']);

export const signOf = (direction: 'right' | 'left'): 1 | -1 => (direction === 'right' ? 1 : -1);
