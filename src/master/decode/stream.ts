import type { Sharp } from 'sharp';
import type { Samples } from '../pixels.js';
import { V_HEADER } from '../uncompressed.js';
import { type NamedPipe, openPipe } from './pipe.js';

/** Rows are handed over in at most about so many bytes: small enough that libvips decodes on in the meantime. */
const PORTION_BYTES = 2 ** 20;

/** Where its header has the width, the height, the channels and the kind of samples, and two of these kinds. */
const AT = { width: 4, height: 8, channels: 12, format: 20 } as const;
const UCHAR = 0;
const USHORT = 2;
/** The first byte where the least significant byte of each number comes first. */
const LITTLE_ENDIAN = 0xb6;

/** Some rows of a picture; the memory is used anew for the next ones. */
export interface Portion {
  readonly samples: Samples;
  readonly channels: number;
}

/** Decoding did not even begin: the picture has to be read in another way. */
export class NoStream extends Error {}

/**
 * A picture's rows as libvips decodes them, from the top, once: neither it nor we ever hold more than some
 * rows, where the format does not ask for it.
 *
 * sharp gives a picture away only whole, or to a file. So the file is a pipe, in libvips's own format. It
 * fails at its end, where libvips goes back to add the metadata, which we have no use for.
 *
 * @param mostBytes of a portion
 * @throws NoStream when nothing came; libvips's error when the picture broke off
 */
export async function* streamRows(picture: Sharp, mostBytes: number): AsyncGenerator<Portion> {
  const pipe = await openPipe('.v');
  if (pipe === undefined) throw new NoStream();
  try {
    const failed = picture.toFile(pipe.path).then(
      () => new Error('it ends early'),
      (error: Error) => error,
    );
    failed.finally(pipe.writerEnded);
    const header = await readHeader(pipe);
    if (header === undefined) throw new NoStream();
    const { width, height, channels, bytes } = header;
    const rowBytes = width * channels * bytes;
    const wanted = Math.floor(Math.min(PORTION_BYTES, mostBytes) / rowBytes);
    const rows = Math.max(1, Math.min(height, wanted));
    const memory = new Uint8Array(rows * rowBytes);
    for (let y = 0; y < height; y += rows) {
      const portion = memory.subarray(0, Math.min(rows, height - y) * rowBytes);
      if ((await pipe.fill(portion)) < portion.length) throw await failed;
      const samples = bytes === 2 ? new Uint16Array(memory.buffer, 0, portion.length / 2) : portion;
      yield { samples, channels };
    }
  } finally {
    await pipe.close();
  }
}

async function readHeader(pipe: NamedPipe) {
  const bytes = new Uint8Array(V_HEADER);
  if ((await pipe.fill(bytes)) < V_HEADER) return undefined;
  const isLittle = bytes[0] === LITTLE_ENDIAN;
  const view = new DataView(bytes.buffer);
  const number = (at: number) => view.getUint32(at, isLittle);
  const format = number(AT.format);
  if (format !== UCHAR && format !== USHORT) return undefined;
  const [width, height, channels] = [number(AT.width), number(AT.height), number(AT.channels)];
  return { width, height, channels, bytes: format === USHORT ? 2 : 1 };
}
