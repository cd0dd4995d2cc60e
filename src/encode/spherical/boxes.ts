import { InputError } from '../../errors.js';

/**
 * A box of an ISO base media file (ISO/IEC 14496-12, section 4.2) or an atom of a QuickTime movie:
 * either a leaf, all of whose content is `body`, or a container, whose `children` follow `body`.
 */
export interface Box {
  type: string;
  body: Buffer;
  children?: Box[];
  /** Bytes after the last child that are no box, such as the 32-bit zero that ends QuickTime lists. */
  tail: Buffer;
  /** Whether the size is kept in 64 bits even where 32 would do, as it was found. */
  wide: boolean;
}

/** Bytes before the first child, for the containers that are always opened. */
const OPENED: Readonly<Record<string, number>> = {
  moov: 0,
  trak: 0,
  mdia: 0,
  minf: 0,
  stbl: 0,
  sv3d: 0,
  proj: 0,
  stsd: 8,
};

const NONE = Buffer.alloc(0);

const damaged = (message: string): InputError =>
  new InputError(`the movie's header is damaged: ${message}; copy the file again from its source`);

/** The boxes that follow each other in `content`; `within` names their parent in messages. */
export function parseBoxes(content: Buffer, within: string): { boxes: Box[]; tail: Buffer } {
  const boxes: Box[] = [];
  let at = 0;
  while (content.length - at >= 8) {
    const size32 = content.readUInt32BE(at);
    const type = content.toString('latin1', at + 4, at + 8);
    if (size32 === 0 && within !== '') break;
    const wide = size32 === 1;
    if (wide && content.length - at < 16) throw damaged(`box ${type} in ${within} is cut off`);
    const size = wide ? Number(content.readBigUInt64BE(at + 8)) : size32;
    const head = wide ? 16 : 8;
    if (size < head || size > content.length - at) {
      throw damaged(
        `box ${type} says ${size} bytes, its parent ${within} holds ${content.length - at}`,
      );
    }
    boxes.push(toBox(type, content.subarray(at + head, at + size), wide));
    at += size;
  }
  return { boxes, tail: content.subarray(at) };
}

function toBox(type: string, content: Buffer, wide: boolean): Box {
  const leaf: Box = { type, body: content, tail: NONE, wide };
  const before = OPENED[type];
  return before === undefined || content.length < before ? leaf : opened(leaf, before);
}

/** `leaf` as a container whose children start `before` bytes into its content. */
export function opened(leaf: Box, before: number): Box {
  if (leaf.children !== undefined) return leaf;
  const { boxes, tail } = parseBoxes(leaf.body.subarray(before), leaf.type);
  return { ...leaf, body: leaf.body.subarray(0, before), children: boxes, tail };
}

export function leafBox(type: string, ...content: readonly Buffer[]): Box {
  return { type, body: Buffer.concat(content), tail: NONE, wide: false };
}

export function containerBox(type: string, children: Box[]): Box {
  return { type, body: NONE, children, tail: NONE, wide: false };
}

/** A FullBox of version 0 without flags: four zero bytes, then the fields. */
export function fullBox(type: string, ...content: readonly Buffer[]): Box {
  return leafBox(type, Buffer.alloc(4), ...content);
}

export function serialiseBox(box: Box): Buffer {
  const content = [box.body, ...(box.children ?? []).map(serialiseBox), box.tail];
  const length = content.reduce((sum, part) => sum + part.length, 0);
  const wide = box.wide || length + 8 > 0xffffffff;
  const head = Buffer.alloc(wide ? 16 : 8);
  head.writeUInt32BE(wide ? 1 : length + 8, 0);
  head.write(box.type, 4, 'latin1');
  if (wide) head.writeBigUInt64BE(BigInt(length + 16), 8);
  return Buffer.concat([head, ...content]);
}

export function child(box: Box | undefined, ...path: readonly string[]): Box | undefined {
  let found = box;
  for (const type of path) found = found?.children?.find((each) => each.type === type);
  return found;
}
