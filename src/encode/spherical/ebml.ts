/**
 * Elements of EBML, of which Matroska and WebM files are made.
 * Source: RFC 8794 (Extensible Binary Meta Language), sections 4 to 7 and 11.3.
 */
import { crc32 } from 'node:zlib';

export interface Element {
  /** With its length marker, as specifications print it: 0x1A45DFA3. */
  readonly id: number;
  /** Bytes that its size takes up. */
  readonly sizeLength: number;
  readonly data: Buffer;
}

/** An element's head at a place in `bytes`. */
export interface Head {
  readonly id: number;
  readonly idLength: number;
  readonly sizeLength: number;
  /** Of its data; undefined where it ends nobody knows where, as live recordings do. */
  readonly size: number | undefined;
}

/** RFC 9559, section 4: what Matroska allows. */
const LONGEST_ID = 4;
const LONGEST_SIZE = 8;

const CRC_ID = 0xbf;
const VOID_ID = 0xec;
/** An empty Void element: its ID and its size. */
const LEAST_VOID = 2;

/** The head at `at`; undefined where there is none, or `bytes` end within it. */
export function headAt(bytes: Buffer, at: number): Head | undefined {
  const idLength = Math.clz32(bytes[at] ?? 0) - 23;
  if (idLength > LONGEST_ID) return undefined;
  const sizeAt = at + idLength;
  const sizeLength = Math.clz32(bytes[sizeAt] ?? 0) - 23;
  if (sizeLength > LONGEST_SIZE || sizeAt + sizeLength > bytes.length) return undefined;
  const id = bytes.readUIntBE(at, idLength);
  let size = BigInt(bytes[sizeAt]! & (0xff >> sizeLength));
  for (let n = 1; n < sizeLength; n++) size = size * 256n + BigInt(bytes[sizeAt + n]!);
  const unknown = 2n ** BigInt(7 * sizeLength) - 1n;
  return { id, idLength, sizeLength, size: size === unknown ? undefined : Number(size) };
}

/** The elements that follow each other in `bytes`; undefined where they do not fill it. */
export function elementsIn(bytes: Buffer): Element[] | undefined {
  const found: Element[] = [];
  for (let at = 0; at < bytes.length; ) {
    const head = headAt(bytes, at);
    if (head?.size === undefined) return undefined;
    const from = at + head.idLength + head.sizeLength;
    const to = from + head.size;
    if (to > bytes.length) return undefined;
    found.push({ id: head.id, sizeLength: head.sizeLength, data: bytes.subarray(from, to) });
    at = to;
  }
  return found;
}

/** As `data` with at least `sizeLength` bytes for its size. */
export function serialised({ id, sizeLength, data }: Element): Buffer {
  let length = Math.max(1, sizeLength);
  while (data.length >= 2 ** (7 * length) - 1) length++;
  const size = Buffer.alloc(length);
  let rest = BigInt(data.length) + 2n ** BigInt(7 * length);
  for (let n = length - 1; n >= 0; n--) {
    size[n] = Number(rest % 256n);
    rest /= 256n;
  }
  return Buffer.concat([idBytes(id), size, data]);
}

function idBytes(id: number): Buffer {
  const bytes = Buffer.alloc(4);
  bytes.writeUInt32BE(id);
  return bytes.subarray(bytes.findIndex((byte) => byte !== 0));
}

export const element = (id: number, data: Buffer): Element => ({ id, sizeLength: 1, data });

/** An element of others; its checksum, where it has one, is worked out anew. */
export function master(id: number, children: readonly Element[], sizeLength = 1): Element {
  const rest = children.filter((child) => child.id !== CRC_ID);
  const content = Buffer.concat(rest.map(serialised));
  if (rest.length === children.length) return { id, sizeLength, data: content };
  const sum = Buffer.alloc(4);
  sum.writeUInt32LE(crc32(content));
  return { id, sizeLength, data: Buffer.concat([serialised(element(CRC_ID, sum)), content]) };
}

/** In as few bytes as will do, or in as many as asked. */
export function unsigned(id: number, value: number, bytes = 1): Element {
  let length = bytes;
  while (value >= 256 ** length) length++;
  const data = Buffer.alloc(length);
  data.writeUIntBE(value, 0, length);
  return element(id, data);
}

/** A 32-bit float. */
export function float(id: number, value: number): Element {
  const data = Buffer.alloc(4);
  data.writeFloatBE(value);
  return element(id, data);
}

export const unsignedOf = ({ data }: Element): number =>
  data.reduce((sum, byte) => 256 * sum + byte, 0);

export function floatOf({ data }: Element): number {
  if (data.length === 4) return data.readFloatBE();
  return data.length === 8 ? data.readDoubleBE() : 0;
}

export const isVoid = ({ id }: Element): boolean => id === VOID_ID;

/** Nothing, in that many bytes, where it can be with `wide` of them for its size; undefined for a single byte, which no element is. */
export function nothing(length: number, wide = 1): Buffer | undefined {
  if (length === 0) return Buffer.alloc(0);
  if (length < LEAST_VOID) return undefined;
  const first = Math.min(wide, length - 1);
  for (let sizeLength = first; sizeLength <= LONGEST_SIZE; sizeLength++) {
    const data = Buffer.alloc(Math.max(0, length - 1 - sizeLength));
    const bytes = serialised({ id: VOID_ID, sizeLength, data });
    if (bytes.length === length) return bytes;
  }
  return undefined;
}
