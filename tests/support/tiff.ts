/** A TIFF of one uncompressed strip, as TIFF 6.0 has it, with whatever its tags are to say. */
export interface TiffFields {
  readonly width: number;
  readonly height: number;
  /** Samples of a pixel, pixel by pixel. */
  readonly data: Uint8Array | Uint16Array | Uint32Array | Float32Array;
  /** Tag 339: 1 whole, 2 signed, 3 floating-point; by default as `data` is. */
  readonly format?: 1 | 2 | 3;
  /** Tag 338: 0 unspecified, 1 associated alpha, 2 unassociated alpha; the tag is left out without it. */
  readonly extra?: readonly number[];
  /** Numbers begin with their highest byte; samples of 8 bits only. */
  readonly bigEndian?: boolean;
}

const RGB = 2;
const SHORT = 3;
const LONG = 4;

/** Section 2 for the layout, section 8 for the baseline's fields. */
export function tiff(fields: TiffFields): Buffer {
  const { width, height, data, extra, bigEndian = false } = fields;
  const channels = data.length / (width * height);
  const bits = 8 * data.BYTES_PER_ELEMENT;
  const format = fields.format ?? (data instanceof Float32Array ? 3 : 1);
  const perSample = (value: number) => Array<number>(channels).fill(value);
  const entries: readonly (readonly [tag: number, type: number, values: readonly number[]])[] = [
    [256, LONG, [width]],
    [257, LONG, [height]],
    [258, SHORT, perSample(bits)],
    [259, SHORT, [1]],
    [262, SHORT, [channels < 3 ? 1 : RGB]],
    [273, LONG, [0]],
    [277, SHORT, [channels]],
    [278, LONG, [height]],
    [279, LONG, [data.byteLength]],
    ...(extra === undefined ? [] : ([[338, SHORT, extra]] as const)),
    [339, SHORT, perSample(format)],
  ];
  const directory = 8 + 2 + 12 * entries.length + 4;
  const beside: Buffer[] = [];
  let end = directory;
  const head = Buffer.alloc(directory);
  const put = (bytes: Buffer, value: number, at: number, size: 2 | 4) =>
    bigEndian ? bytes.writeUIntBE(value, at, size) : bytes.writeUIntLE(value, at, size);
  head.write(bigEndian ? 'MM' : 'II', 'latin1');
  put(head, 42, 2, 2);
  put(head, 8, 4, 4);
  put(head, entries.length, 8, 2);
  let strip = 0;
  entries.forEach(([tag, type, values], index) => {
    const at = 10 + 12 * index;
    const bytes = Buffer.alloc(Math.max(4, values.length * (type === SHORT ? 2 : 4)));
    values.forEach((value, i) => {
      if (type === SHORT) put(bytes, value, 2 * i, 2);
      else put(bytes, value, 4 * i, 4);
    });
    put(head, tag, at, 2);
    put(head, type, at + 2, 2);
    put(head, values.length, at + 4, 4);
    if (tag === 273) strip = at + 8;
    if (bytes.length <= 4) bytes.copy(head, at + 8);
    else {
      put(head, end, at + 8, 4);
      beside.push(bytes);
      end += bytes.length;
    }
  });
  put(head, end, strip, 4);
  return Buffer.concat([
    head,
    ...beside,
    Buffer.from(data.buffer, data.byteOffset, data.byteLength),
  ]);
}
