/**
 * An ICC profile of three primaries and one gamma, made from scratch: version 2, display, RGB to XYZ.
 *
 * Source: ICC.1:2001-04, clauses 6.1 (header), 6.2 (tag table), 6.5 (tag types).
 *
 * @param colorants XYZ of red, green and blue, adapted to D50
 * @param gamma as the type's 8.8 fixed point has it
 */
export function matrixProfile(colorants: readonly (readonly number[])[], gamma: number): Buffer {
  const curve = gammaCurve(gamma);
  return profile('RGB ', [
    ...(['r', 'g', 'b'] as const).flatMap((name, i): [string, Buffer][] => [
      [`${name}XYZ`, xyz(colorants[i]!)],
      [`${name}TRC`, curve],
    ]),
  ]);
}

/** One of grey with that tone curve, a `curv` or `para` tag. */
export const greyProfile = (curve: Buffer): Buffer => profile('GRAY', [['kTRC', curve]]);

/** A `curv` tag of one gamma, as 8.8 fixed point has it. */
export function gammaCurve(gamma: number): Buffer {
  const curve = Buffer.alloc(14);
  curve.write('curv', 0, 'latin1');
  curve.writeUInt32BE(1, 8);
  curve.writeUInt16BE(Math.round(gamma * 256), 12);
  return curve;
}

function xyz(values: readonly number[]): Buffer {
  const body = Buffer.alloc(20);
  body.write('XYZ ', 0, 'latin1');
  for (const [i, value] of values.entries()) {
    body.writeInt32BE(Math.round(value * 65536), 8 + 4 * i);
  }
  return body;
}

function description(words: string): Buffer {
  const body = Buffer.alloc(90 + words.length + 1);
  body.write('desc', 0, 'latin1');
  body.writeUInt32BE(words.length + 1, 8);
  body.write(words, 12, 'latin1');
  return body;
}

function profile(space: 'RGB ' | 'GRAY', own: readonly [string, Buffer][]): Buffer {
  const tags: [string, Buffer][] = [
    ['desc', description('test')],
    ['cprt', Buffer.from('text\0\0\0\0none\0', 'latin1')],
    ['wtpt', xyz(D50)],
    ...own,
  ];
  const padded = tags.map(([name, body]): [string, Buffer] => [
    name,
    Buffer.concat([body, Buffer.alloc((4 - (body.length % 4)) % 4)]),
  ]);
  const table = Buffer.alloc(4 + 12 * tags.length);
  table.writeUInt32BE(tags.length, 0);
  let offset = 128 + table.length;
  for (const [i, [name, body]] of padded.entries()) {
    table.write(name, 4 + 12 * i, 'latin1');
    table.writeUInt32BE(offset, 8 + 12 * i);
    table.writeUInt32BE(tags[i]![1].length, 12 + 12 * i);
    offset += body.length;
  }
  const header = Buffer.alloc(128);
  header.writeUInt32BE(offset, 0);
  header.writeUInt32BE(0x02400000, 8);
  header.write(`mntr${space}XYZ `, 12, 'latin1');
  header.write('acsp', 36, 'latin1');
  for (const [i, value] of D50.entries()) {
    header.writeInt32BE(Math.round(value * 65536), 68 + 4 * i);
  }
  return Buffer.concat([header, table, ...padded.map(([, body]) => body)]);
}

const D50 = [0.9642, 1, 0.8249] as const;
