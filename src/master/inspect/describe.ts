import { noteOn } from '../transparency.js';
import { isWhole } from './coverage.js';
import type { Hole } from './holes.js';
import type { Specks } from './specks.js';
import type { Claim, Inspection } from './types.js';

const counted = (count: number, what: string): string =>
  `${count} ${what}${count === 1 ? '' : 's'}`;

const degrees = (value: number): string => `${value.toFixed(1)}°`;

function holeLine(hole: Hole): string {
  const what =
    hole.kind === 'transparent' ? 'transparent' : `one colour (${hole.colour?.join(', ')})`;
  const where = hole.touches.length > 0 ? `, touches the ${hole.touches.join(' and ')}` : '';
  return `  ${what}${where}: latitude ${degrees(hole.top)} to ${degrees(hole.bottom)}, longitude ${degrees(hole.left)} to ${degrees(hole.right)}, ${hole.solidAngle.toFixed(4)} sr, ${hole.percent.toFixed(2)} %`;
}

function speckLine({ solidAngle, percent }: Specks): string {
  const much = solidAngle > 0 ? `, ${solidAngle.toFixed(4)} sr, ${percent.toFixed(2)} %` : '';
  return `  specks and soft edges that are not wholly opaque${much}`;
}

/** Characters of a cell, from which on it goes on in the next line. */
const WIDEST_CELL = 40;

/** In lines of at most `WIDEST_CELL` characters, unless a word is longer. */
function wrapped(text: string): string[] {
  const lines: string[] = [];
  for (const word of text.split(' ')) {
    const last = lines.at(-1);
    if (last !== undefined && last.length + 1 + word.length <= WIDEST_CELL) {
      lines[lines.length - 1] = `${last} ${word}`;
    } else lines.push(word);
  }
  return lines;
}

/** Columns, long cells wrapped; `below` is what stands under a row, whole, to be copied. */
function table(
  rows: readonly (readonly string[])[],
  below: (row: number) => string = () => '',
): string[] {
  const cells = rows.map((row) => row.map(wrapped));
  const widths = (rows[0] ?? []).map((_, i) =>
    Math.max(...cells.flatMap((row) => (row[i] ?? []).map((line) => line.length))),
  );
  return cells.flatMap((row, n) => {
    const lines = Array.from({ length: Math.max(...row.map((cell) => cell.length)) }, (_, line) =>
      `  ${row.map((cell, i) => (cell[line] ?? '').padEnd(widths[i] ?? 0)).join('  ')}`.trimEnd(),
    );
    return below(n) === '' ? lines : [...lines, `${' '.repeat(widths[0]! + 4)}> ${below(n)}`];
  });
}

const claimRow = ({ claim, says, found, verdict }: Claim): string[] => [
  verdict.toUpperCase(),
  claim,
  says === '' ? '-' : says,
  found,
];

function basics(inspection: Inspection): string[] {
  const { width, height, depth, channels, unspecified = 0, camera, bytes } = inspection;
  const size = `${width}x${height}, ${inspection.megapixels.toFixed(1)} MP, ${inspection.aspect.toFixed(3)}:1`;
  const palette = inspection.palette ? ' by a palette' : '';
  const colour = `${counted(channels, 'channel')} of ${depth} bits${palette}, ${inspection.colourSpace}, ${inspection.profile ?? 'no colour profile'}`;
  const taken = [camera.make, camera.model, camera.lens, camera.focalLength, camera.captured];
  const words = taken.filter((part) => part !== undefined).join(', ');
  return [
    `${inspection.file}: ${inspection.format}, ${(bytes / 1e6).toFixed(1)} MB`,
    `  ${size}`,
    `  ${colour}`,
    ...noteOn({ count: unspecified, alpha: undefined }).map((note) => `  note: ${note}`),
    ...(words === '' ? [] : [`  ${words}`]),
    ...(inspection.frameAt === undefined
      ? []
      : [`  looked at the frame at ${inspection.frameAt} s`]),
    ...(inspection.pages === undefined
      ? []
      : [`  looked at the first of ${inspection.pages} frames or pages`]),
  ];
}

function coverageLines({ coverage, missing, holes, specks }: Inspection): string[] {
  const basis = { metadata: 'from its metadata', shape: 'from its shape', supposed: 'SUPPOSED' };
  const edges = `longitude ${degrees(coverage.left)} to ${degrees(coverage.right)}, latitude ${degrees(coverage.top)} to ${degrees(coverage.bottom)}`;
  return [
    `coverage (${basis[coverage.basis]}): ${edges}, ${coverage.percent.toFixed(2)} % of the sphere`,
    `missing in all: ${missing.solidAngle.toFixed(4)} sr, ${missing.percent.toFixed(2)} %`,
    ...(holes.length === 0 && specks === undefined ? ['holes: none found'] : ['holes:']),
    ...holes.map(holeLine),
    ...(specks === undefined ? [] : [speckLine(specks)]),
  ];
}

function qualityLines(inspection: Inspection): string[] {
  const { kind, coverage, seam, poles, highlights, horizon } = inspection;
  const lines: string[] = [];
  if (seam !== undefined) {
    const figures = `difference ${seam.difference.toFixed(2)} codes (beside it ${seam.usual.toFixed(2)}, at most ${seam.most.toFixed(2)})`;
    lines.push(`seam at ±180°: ${seam.visible ? 'SHOWS' : 'joins'}, ${figures}`);
  }
  for (const [name, row] of [
    ['zenith', poles.top],
    ['nadir', poles.bottom],
  ] as const) {
    if (row === undefined) continue;
    const state = row.isPoint ? 'is one point' : 'IS NO POINT';
    lines.push(
      `${name} row: ${state}, opposite sides differ by ${row.across.toFixed(2)} codes (next row ${row.down.toFixed(2)})`,
    );
  }
  if (horizon === undefined && kind === 'photo' && isWhole(coverage)) {
    lines.push('horizon: none found that is sure');
  } else if (horizon !== undefined) {
    const lean = `roll ${degrees(horizon.rollDeg)}, pitch ${degrees(horizon.pitchDeg)}`;
    lines.push(`horizon: ${lean} (confidence ${horizon.confidence.toFixed(2)})`);
  }
  const { blown, clipped } = highlights;
  lines.push(
    `highlights: ${blown.toFixed(2)} % white, ${clipped.toFixed(2)} % clipped in a channel`,
  );
  return lines;
}

/** The inspection in words, for a terminal. */
export function describeInspection(inspection: Inspection): string {
  const sizes = inspection.sizes.map(({ projection, fov, centre, everywhere }) => [
    projection,
    `${fov}°`,
    `${centre} px`,
    `${everywhere} px`,
  ]);
  return [
    ...basics(inspection),
    ...coverageLines(inspection),
    ...qualityLines(inspection),
    'claims:',
    ...table(
      [['', 'claim', 'says', 'found, > what to do'], ...inspection.claims.map(claimRow)],
      (row) => inspection.claims[row - 1]?.advice ?? '',
    ),
    'largest square frame that is not magnified:',
    ...table([['projection', 'fov', 'at the centre', 'anywhere'], ...sizes]),
    ...(inspection.advice.length === 0 ? ['next: nothing to mend'] : ['next:']),
    ...inspection.advice.map((line) => `  ${line}`),
  ].join('\n');
}
