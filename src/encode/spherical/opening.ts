import type { FileHandle } from 'node:fs/promises';
import { fill, readBytes } from '../reading.js';
import {
  type Element,
  elementsIn,
  headAt,
  isVoid,
  master,
  nothing,
  serialised,
  unsigned,
  unsignedOf,
} from './ebml.js';
import { wrong } from './regions.js';

/** RFC 9559 (Matroska), section 5.1. */
const ID = {
  header: 0x1a45dfa3,
  docTypeVersion: 0x4287,
  segment: 0x18538067,
  seekHead: 0x114d9b74,
  seek: 0x4dbb,
  seekPosition: 0x53ac,
  tracks: 0x1654ae6b,
  cluster: 0x1f43b675,
} as const;

/** What comes before the first picture is far smaller, unless fonts or covers are attached. */
const LARGEST_HEAD = 64 * 2 ** 20;

/** What comes before the first cluster of a Matroska or WebM file. */
export interface Opening {
  /** Where the segment's data begin in the file: positions count from there. */
  readonly start: number;
  readonly elements: readonly Element[];
  readonly tracks: Element;
}

/** @throws InputError where the file is damaged, or describes its tracks elsewhere */
export async function readOpening(handle: FileHandle, file: string): Promise<Opening> {
  const { size } = await handle.stat();
  const bytes = Buffer.alloc(Math.min(size, LARGEST_HEAD));
  let filled = 0;
  /** Reads on until `end`; what comes first is enough for most files. */
  const have = async (end: number): Promise<boolean> => {
    if (filled < end) {
      const want = Math.max(end - filled, 65536);
      filled += await fill(handle, bytes.subarray(filled, filled + want), filled);
    }
    return filled >= end;
  };
  await have(64);
  const header = headAt(bytes, 0);
  if (header?.id !== ID.header || header.size === undefined) throw damaged(file);
  const segmentAt = header.idLength + header.sizeLength + header.size;
  await have(segmentAt + 12);
  const segment = headAt(bytes, segmentAt);
  if (segment?.id !== ID.segment) throw damaged(file);
  const start = segmentAt + segment.idLength + segment.sizeLength;
  const elements: Element[] = [];
  for (let at = start; ; ) {
    await have(at + 12);
    const head = headAt(bytes, at);
    if (head === undefined || head.id === ID.cluster || head.size === undefined) break;
    const from = at + head.idLength + head.sizeLength;
    if (!(await have(from + head.size))) break;
    const data = bytes.subarray(from, from + head.size);
    elements.push({ id: head.id, sizeLength: head.sizeLength, data });
    at = from + head.size;
  }
  const tracks = elements.find(({ id }) => id === ID.tracks);
  if (tracks === undefined) {
    throw wrong(file, `its tracks are not described before its pictures; ${REWRAP}`);
  }
  return { start, elements, tracks };
}

const REWRAP = 're-wrap it first: ffmpeg -i IN -map 0 -c copy OUT';

const damaged = (file: string) =>
  wrong(file, "the video's header is damaged; copy the file again from its source");

export function childrenOf(parent: Element, file: string): Element[] {
  const children = elementsIn(parent.data);
  if (children === undefined) throw damaged(file);
  return children;
}

/**
 * The opening with other tracks, in as many bytes as before: clusters and what points at them stay.
 *
 * @throws InputError where it has no room for them
 */
export function refitted(
  { start, elements, tracks }: Opening,
  edited: Element,
  file: string,
): Buffer {
  const growth = serialised(edited).length - serialised(tracks).length;
  const room = elements.find(
    (one) => isVoid(one) && nothing(serialised(one).length - growth) !== undefined,
  );
  const filler = growth < 0 ? nothing(-growth) : undefined;
  if (growth !== 0 && room === undefined && filler === undefined) throw noRoom(file);
  /** Old and new position of each element. */
  const moved = new Map<number, number>();
  let [from, to] = [0, 0];
  const parts = elements.map((one) => {
    const old = serialised(one);
    let now = one === tracks ? serialised(edited) : old;
    if (growth !== 0 && one === room) now = nothing(old.length - growth, one.sizeLength)!;
    if (one === tracks && room === undefined && filler) now = Buffer.concat([now, filler]);
    moved.set(from, to);
    from += old.length;
    to += now.length;
    return now;
  });
  if (to !== from) throw new Error(`${file}: its opening at ${start} would not fit.`);
  return Buffer.concat(
    parts.map((part, index) =>
      elements[index]!.id === ID.seekHead ? movedSeeks(elements[index]!, moved, file) : part,
    ),
  );
}

const noRoom = (file: string) =>
  wrong(file, `there is no room in its header for what says that it is a sphere; ${REWRAP}`);

/** The index of elements, with their new positions in as many bytes. */
function movedSeeks(seekHead: Element, moved: ReadonlyMap<number, number>, file: string): Buffer {
  const seeks = childrenOf(seekHead, file).map((seek) => {
    if (seek.id !== ID.seek) return seek;
    const fields = childrenOf(seek, file).map((field) => {
      if (field.id !== ID.seekPosition) return field;
      const now = moved.get(unsignedOf(field)) ?? unsignedOf(field);
      if (now >= 256 ** field.data.length) throw noRoom(file);
      return { ...unsigned(field.id, now, field.data.length), sizeLength: field.sizeLength };
    });
    return master(ID.seek, fields, seek.sizeLength);
  });
  return serialised(master(ID.seekHead, seeks, seekHead.sizeLength));
}

/** The version of Matroska that knows the Projection element. */
const VERSION = 4;

/** Has the header name that version where it names an older one, in a byte. */
export async function raiseVersion(handle: FileHandle): Promise<void> {
  const bytes = await readBytes(handle, 0, 256);
  const head = headAt(bytes, 0);
  if (head?.size === undefined) return;
  const end = head.idLength + head.sizeLength + head.size;
  for (let at = head.idLength + head.sizeLength; at < Math.min(end, bytes.length); ) {
    const field = headAt(bytes, at);
    if (field?.size === undefined) return;
    const value = at + field.idLength + field.sizeLength;
    if (field.id === ID.docTypeVersion && field.size === 1 && bytes[value]! < VERSION) {
      await handle.write(Buffer.from([VERSION]), 0, 1, value);
      return;
    }
    at = value + field.size;
  }
}
