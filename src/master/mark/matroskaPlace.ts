import { type FileHandle, open } from 'node:fs/promises';
import { readBytes } from '../../encode/reading.js';
import {
  type Element,
  elementsIn,
  headAt,
  master,
  nothing,
  serialised,
} from '../../encode/spherical/ebml.js';
import { InputError } from '../../errors.js';
import { inOneWord, tellsPlace } from './placeNames.js';

/** RFC 9559 (Matroska), section 5.1. */
const ID = {
  segment: 0x18538067,
  tags: 0x1254c367,
  tag: 0x7373,
  simpleTag: 0x67c8,
  tagName: 0x45a3,
  tagString: 0x4487,
  attachments: 0x1941a469,
  attachedFile: 0x61a7,
  fileName: 0x466e,
  mediaType: 0x4660,
} as const;

/** What each of these must hold at least one of. */
const NEEDED: ReadonlyMap<number, number | undefined> = new Map([
  [ID.tags, ID.tag],
  [ID.tag, ID.simpleTag],
  [ID.simpleTag, undefined],
  [ID.attachments, ID.attachedFile],
]);

/** Files that hold tracks or places: an attachment may be one. */
const LOG = /\.(?:gpx|kml|kmz|geojson|nmea|tcx|fit|igc)$|gpx|google-earth|geo\+json/i;

/** The longest head of an element. */
const HEAD = 12;

/** Other bytes for a place in the file, as many as stand there. */
interface Patch {
  readonly at: number;
  readonly bytes: Buffer;
}

/** What tells the place in a Matroska or WebM file, by name, and what to write over it: nothing moves. */
export interface MatroskaPlaces {
  readonly labels: readonly string[];
  readonly patches: readonly Patch[];
}

/**
 * Finds the tags and attached files that tell a place, before the pictures or behind them. ExifTool writes into no
 * Matroska file; a Void element takes the place of each (RFC 8794, section 11.3.2).
 *
 * @throws InputError where the tags are damaged
 */
export async function matroskaPlaces(file: string): Promise<MatroskaPlaces> {
  const handle = await open(file);
  const labels: string[] = [];
  const patches: Patch[] = [];
  try {
    for await (const { at, element } of holders(handle)) {
      const found: string[] = [];
      const bytes = serialised(cleared(element, file, found));
      if (found.length === 0) continue;
      labels.push(...found);
      patches.push({ at, bytes });
    }
  } finally {
    await handle.close();
  }
  return { labels: [...new Set(labels)], patches };
}

/** Writes what `matroskaPlaces` found into a copy of the file. */
export async function clearPlaces(copy: string, { patches }: MatroskaPlaces): Promise<void> {
  const handle = await open(copy, 'r+');
  try {
    for (const { at, bytes } of patches) await handle.write(bytes, 0, bytes.length, at);
  } finally {
    await handle.close();
  }
}

/** The elements that hold tags or attached files, wherever in the segment they are. */
async function* holders(handle: FileHandle): AsyncGenerator<{ at: number; element: Element }> {
  const { size } = await handle.stat();
  for (let at = 0; at < size; ) {
    const bytes = await readBytes(handle, at, Math.min(HEAD, size - at));
    const head = headAt(bytes, 0);
    if (head === undefined) return;
    const from = at + head.idLength + head.sizeLength;
    // What ends nobody knows where, as a live recording's clusters do, is gone through instead of over.
    if (head.id === ID.segment || head.size === undefined) {
      at = from;
      continue;
    }
    if ((head.id === ID.tags || head.id === ID.attachments) && from + head.size <= size) {
      const data = await readBytes(handle, from, head.size);
      yield { at, element: { id: head.id, sizeLength: head.sizeLength, data } };
    }
    at = from + head.size;
  }
}

/** The element with nothing in place of what tells a place; as long as before. */
function cleared(one: Element, file: string, found: string[]): Element {
  const label = labelOf(one, file);
  if (label !== undefined) {
    found.push(label);
    return nothingLike(one);
  }
  if (!NEEDED.has(one.id)) return one;
  const before = childrenOf(one, file);
  const after = before.map((child) => cleared(child, file, found));
  if (after.every((child, index) => child === before[index])) return one;
  const needed = NEEDED.get(one.id);
  if (needed !== undefined && !after.some(({ id }) => id === needed)) return nothingLike(one);
  return master(one.id, after, one.sizeLength);
}

/** What to call an element that tells a place, without telling it; undefined for any other. */
function labelOf(one: Element, file: string): string | undefined {
  if (one.id !== ID.simpleTag && one.id !== ID.attachedFile) return undefined;
  const fields = childrenOf(one, file);
  const text = (id: number) => fields.find((field) => field.id === id)?.data.toString('utf8') ?? '';
  if (one.id === ID.attachedFile) {
    return LOG.test(text(ID.fileName)) || LOG.test(text(ID.mediaType))
      ? `Matroska:AttachedFile (${text(ID.mediaType)})`
      : undefined;
  }
  const name = text(ID.tagName);
  return tellsPlace(inOneWord(name), text(ID.tagString)) ? `Matroska:${name}` : undefined;
}

function nothingLike(one: Element): Element {
  return elementsIn(nothing(serialised(one).length, one.sizeLength)!)![0]!;
}

function childrenOf(parent: Element, file: string): Element[] {
  const children = elementsIn(parent.data);
  if (children !== undefined) return children;
  const message = "the video's tags are damaged; re-wrap it: ffmpeg -i IN -map 0 -c copy OUT";
  throw new InputError([{ place: file, path: '', message }]);
}
