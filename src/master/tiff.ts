import type { FileHandle } from 'node:fs/promises';
import { readBytes } from '../encode/reading.js';
import { openFile } from './openFile.js';

/** Tags of TIFF 6.0, sections 8 and 18, and the type of their values. */
const TAG = { photometric: 262, samplesPerPixel: 277, extraSamples: 338 } as const;
const SHORT = 3;

/** What an extra sample is, of which section 18 knows three kinds; what is not said is unspecified. */
export type ExtraSample = 'unspecified' | 'associated alpha' | 'unassociated alpha';
const KINDS: readonly ExtraSample[] = ['unspecified', 'associated alpha', 'unassociated alpha'];

/** How many samples are colour, by the photometric interpretation: grey, RGB, palette, mask, CMYK, Y'CbCr, L*a*b*. */
const COLOURS: Readonly<Record<number, number>> = {
  0: 1,
  1: 1,
  2: 3,
  3: 1,
  4: 1,
  5: 4,
  6: 3,
  8: 3,
};

/**
 * The samples of a TIFF's pixels beside those of their colour, in their order. libvips takes the first one for
 * transparency, whatever it is.
 *
 * @returns undefined for what is no TIFF, or says nothing that could be understood
 */
export async function extraSamples(file: string): Promise<readonly ExtraSample[] | undefined> {
  const handle = await openFile(file);
  try {
    const fields = await firstDirectory(handle);
    const [samples = 1] = fields?.get(TAG.samplesPerPixel) ?? [];
    const colours = COLOURS[fields?.get(TAG.photometric)?.[0] ?? -1];
    if (fields === undefined || colours === undefined) return undefined;
    const said = fields.get(TAG.extraSamples) ?? [];
    return Array.from(
      { length: Math.max(0, samples - colours) },
      (_, index) => KINDS[said[index] ?? 0] ?? 'unspecified',
    );
  } finally {
    await handle.close();
  }
}

/** The first directory's fields of short numbers, by their tags; that of a BigTIFF too. */
async function firstDirectory(
  handle: FileHandle,
): Promise<ReadonlyMap<number, readonly number[]> | undefined> {
  const head = await readBytes(handle, 0, 16);
  const order = head.toString('latin1', 0, 2);
  if (head.length < 8 || (order !== 'II' && order !== 'MM')) return undefined;
  const number = (bytes: Buffer, at: number, size: 2 | 4 | 8): number => {
    if (at + size > bytes.length) return 0;
    const little = order === 'II';
    if (size === 8) return Number(little ? bytes.readBigUInt64LE(at) : bytes.readBigUInt64BE(at));
    return little ? bytes.readUIntLE(at, size) : bytes.readUIntBE(at, size);
  };
  const version = number(head, 2, 2);
  if (version !== 42 && version !== 43) return undefined;
  const big = version === 43;
  const [counting, word, entry] = big ? ([8, 8, 20] as const) : ([2, 4, 12] as const);
  const start = number(head, big ? 8 : 4, word);
  const count = number(await readBytes(handle, start, counting), 0, counting);
  const entries = await readBytes(handle, start + counting, Math.min(count, MOST_FIELDS) * entry);
  const fields = new Map<number, readonly number[]>();
  for (let at = 0; at + entry <= entries.length; at += entry) {
    if (number(entries, at + 2, 2) !== SHORT) continue;
    const values = Math.min(number(entries, at + 4, word), MOST_VALUES);
    const place = at + 4 + word;
    const bytes =
      2 * values <= word
        ? entries.subarray(place, place + word)
        : await readBytes(handle, number(entries, place, word), 2 * values);
    fields.set(
      number(entries, at, 2),
      Array.from({ length: values }, (_, index) => number(bytes, 2 * index, 2)),
    );
  }
  return fields;
}

/** More fields than any picture has, and more values than are of use here. */
const MOST_FIELDS = 4096;
const MOST_VALUES = 64;
