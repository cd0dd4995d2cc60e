import type { FileHandle } from 'node:fs/promises';
import { readBytes } from '../reading.js';
import { type Box, child, parseBoxes, serialiseBox } from './boxes.js';
import type { Region } from './regions.js';

/** Bytes to put at a place of the finished file, counted from its start. */
export interface Patch {
  readonly at: number;
  readonly bytes: Buffer;
}

interface OffsetTable {
  readonly box: Box;
  readonly offsets: readonly number[];
}

/** The boxes of one track that hold places in the file: chunks, and encryption's side data. */
function offsetTables(trak: Box): OffsetTable[] {
  const stbl = child(trak, 'mdia', 'minf', 'stbl');
  const boxes = stbl?.children?.filter((box) => ['stco', 'co64', 'saio'].includes(box.type)) ?? [];
  return boxes.map((box) => ({ box, offsets: readOffsets(box) }));
}

/** saio keeps its offsets like stco (version 0) or co64 (version 1), after an optional 8-byte type. */
function tableShape(box: Box): { head: number; wide: boolean } {
  if (box.type !== 'saio') return { head: 8, wide: box.type === 'co64' };
  const typed = ((box.body[3] ?? 0) & 1) === 1;
  return { head: typed ? 16 : 8, wide: box.body[0] === 1 };
}

function readOffsets(box: Box): number[] {
  const { head, wide } = tableShape(box);
  if (box.body.length < head) return [];
  const step = wide ? 8 : 4;
  const claimed = box.body.readUInt32BE(head - 4);
  const count = Math.min(claimed, Math.floor((box.body.length - head) / step));
  return Array.from({ length: count }, (_, i) =>
    wide
      ? Number(box.body.readBigUInt64BE(head + i * step))
      : box.body.readUInt32BE(head + i * step),
  );
}

function writeOffsets(box: Box, offsets: readonly number[]): void {
  const { head, wide } = tableShape(box);
  const widen = !wide && offsets.some((offset) => offset > 0xffffffff);
  const step = wide || widen ? 8 : 4;
  const body = Buffer.alloc(head + offsets.length * step);
  box.body.copy(body, 0, 0, head);
  offsets.forEach((offset, i) => {
    if (step === 8) body.writeBigUInt64BE(BigInt(offset), head + i * step);
    else body.writeUInt32BE(offset, head + i * step);
  });
  if (widen && box.type === 'stco') box.type = 'co64';
  if (widen && box.type === 'saio') body[0] = 1;
  box.body = body;
}

/** Whether the track's media lie in this file: every data reference says so by its flag. */
function selfContained(trak: Box): boolean {
  const dref = child(trak, 'mdia', 'minf')?.children?.find((box) => box.type === 'dinf');
  if (dref === undefined) return true;
  const entries = parseBoxes(dref.body, 'dinf').boxes.find((box) => box.type === 'dref');
  if (entries === undefined) return true;
  return parseBoxes(entries.body.subarray(8), 'dref').boxes.every(
    (box) => ((box.body[3] ?? 0) & 1) === 1,
  );
}

/**
 * Adds to each offset behind the old header as many bytes as the header has grown, widening tables
 * past 4 GiB, which makes it grow again: repeated until it stays. Returns the growth in bytes.
 */
export function moveChunkOffsets(moov: Box, old: Region): number {
  const end = old.start + old.size;
  const traks = moov.children?.filter((box) => box.type === 'trak') ?? [];
  const tables = traks.filter(selfContained).flatMap(offsetTables);
  let growth = 0;
  for (;;) {
    const grown = serialiseBox(moov).length - old.size;
    if (grown === growth) return growth;
    growth = grown;
    for (const { box, offsets } of tables) {
      writeOffsets(
        box,
        offsets.map((offset) => (offset >= end ? offset + growth : offset)),
      );
    }
  }
}

/** Patches for the places in a fragmented movie that are counted from the file's start. */
export async function movedFragmentOffsets(
  handle: FileHandle,
  regions: readonly Region[],
  headerEnd: number,
  growth: number,
): Promise<Patch[]> {
  const patches: Patch[] = [];
  for (const region of regions) {
    if (region.type !== 'moof' && region.type !== 'mfra') continue;
    const bytes = await readBytes(handle, region.start, region.size);
    const shift = region.start >= headerEnd ? growth : 0;
    const fields = region.type === 'moof' ? baseOffsets(bytes) : accessOffsets(bytes);
    for (const { at, wide } of fields) {
      const value = wide ? Number(bytes.readBigUInt64BE(at)) : bytes.readUInt32BE(at);
      if (value < headerEnd) continue;
      const moved = Buffer.alloc(wide ? 8 : 4);
      if (wide) moved.writeBigUInt64BE(BigInt(value + growth));
      else moved.writeUInt32BE(value + growth);
      patches.push({ at: region.start + shift + at, bytes: moved });
    }
  }
  return patches;
}

interface Field {
  readonly at: number;
  readonly wide: boolean;
}

/** Calls `visit` with each box of `types` at any depth, and where its content starts. */
function walk(bytes: Buffer, from: number, to: number, visit: (type: string, at: number) => void) {
  let at = from;
  while (to - at >= 8) {
    const size = bytes.readUInt32BE(at);
    const type = bytes.toString('latin1', at + 4, at + 8);
    if (size < 8 || size > to - at) return;
    visit(type, at + 8);
    if (type === 'moof' || type === 'traf' || type === 'mfra')
      walk(bytes, at + 8, at + size, visit);
    at += size;
  }
}

/** tfhd's base_data_offset, where its flag 1 says there is one. */
function baseOffsets(bytes: Buffer): Field[] {
  const fields: Field[] = [];
  walk(bytes, 0, bytes.length, (type, at) => {
    if (type === 'tfhd' && ((bytes[at + 3] ?? 0) & 1) === 1)
      fields.push({ at: at + 8, wide: true });
  });
  return fields;
}

/** tfra's moof_offset of every entry. */
function accessOffsets(bytes: Buffer): Field[] {
  const fields: Field[] = [];
  walk(bytes, 0, bytes.length, (type, at) => {
    if (type !== 'tfra') return;
    const wide = bytes[at] === 1;
    const lengths = bytes.readUInt32BE(at + 8);
    const numbers = ((lengths >> 4) & 3) + ((lengths >> 2) & 3) + (lengths & 3) + 3;
    const step = (wide ? 16 : 8) + numbers;
    const count = bytes.readUInt32BE(at + 12);
    for (let i = 0; i < count; i += 1) {
      const field = at + 16 + i * step + (wide ? 8 : 4);
      if (field + (wide ? 8 : 4) > bytes.length) return;
      fields.push({ at: field, wide });
    }
  });
  return fields;
}
