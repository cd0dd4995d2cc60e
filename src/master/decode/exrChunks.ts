import { open } from 'node:fs/promises';
import { readBytes } from '../../encode/reading.js';

const TILED = 0x200;
const MULTIPART = 0x1000;
/** Headers are some hundred bytes; previews make them larger. */
const MOST_HEADER = 2 ** 20;

/**
 * Whether an OpenEXR file holds every chunk of its table of offsets to the end. ffmpeg does not look: it
 * leaves black what is missing. Files of several parts, which have several tables, are not checked.
 *
 * Source: OpenEXR's "File Layout": magic number, version, attributes (name, type, size, value) up to an
 * empty name, the table of 8-byte offsets, then the chunks.
 */
export async function holdsAllChunks(file: string): Promise<boolean> {
  const handle = await open(file);
  try {
    const { size } = await handle.stat();
    const head = await readBytes(handle, 0, Math.min(size, MOST_HEADER));
    const version = head.readUInt32LE(4);
    if ((version & MULTIPART) !== 0) return true;
    const table = endOfAttributes(head);
    if (table === undefined || table + 8 > size) return false;
    // The first chunk follows the table, or is at least not within it.
    const first = Number(head.readBigUInt64LE(table));
    if (first <= table || first > size) return false;
    const offsets = await readBytes(handle, table, first - table - ((first - table) % 8));
    let last = 0;
    for (let at = 0; at < offsets.length; at += 8) {
      const offset = Number(offsets.readBigUInt64LE(at));
      if (offset === 0) return false;
      last = Math.max(last, offset);
    }
    // A chunk: its row, or its tile's place in four numbers; the size of its data; the data.
    const place = (version & TILED) !== 0 ? 16 : 4;
    if (last + place + 4 > size) return false;
    const chunk = await readBytes(handle, last, place + 4);
    return last + place + 4 + chunk.readUInt32LE(place) <= size;
  } finally {
    await handle.close();
  }
}

function endOfAttributes(head: Buffer): number | undefined {
  let at = 8;
  while (at < head.length) {
    if (head[at] === 0) return at + 1;
    const name = head.indexOf(0, at);
    const type = name < 0 ? -1 : head.indexOf(0, name + 1);
    if (type < 0 || type + 5 > head.length) return undefined;
    at = type + 5 + head.readUInt32LE(type + 1);
  }
  return undefined;
}
