import type { CompleteReport } from '../complete.js';
import type { HorizonEstimate, Lean, LevelReport } from '../level.js';
import type { FinishReport, LevelStep } from './types.js';

const percent = (share: number): string => `${Number((100 * share).toFixed(1))} %`;
const counted = (count: number, what: string): string =>
  `${count} ${what}${count === 1 ? '' : 's'}`;

/** What a completion did, in one sentence. */
export function completionInWords(report: CompleteReport): string {
  const { canvas, placed, holes, known } = report;
  const size = `${canvas.width}x${canvas.height}`;
  const ways = [...new Set(holes.map(({ filledBy }) => filledBy))].join(' and ');
  const moved = placed.width !== canvas.width || placed.height !== canvas.height;
  const at = moved
    ? `, the ${placed.width}x${placed.height} picture at ${placed.left},${placed.top}`
    : '';
  const filled =
    holes.length === 0
      ? 'nothing to fill'
      : `${counted(holes.length, 'hole')}, ${percent(1 - known)} of the sphere, filled (${ways})`;
  return `${size}${at}: ${filled}${report.patched ? ', patch laid' : ''}`;
}

const angle = (value: number): string => `${value.toFixed(1)}°`;

const leanInWords = ({ pitch, roll }: Lean): string => `pitch ${angle(pitch)}, roll ${angle(roll)}`;

const sureness = ({ confidence }: HorizonEstimate): string => `confidence ${confidence.toFixed(2)}`;

const unsure = (found: HorizonEstimate): string =>
  `left alone, unsure how it leans (${sureness(found)}): ${found.reason.replace(/^Unsure: /u, '').replace(/\.$/u, '')}`;

/** What a levelling did or found, in one sentence. */
export function levellingInWords({ status, lean, turn, found, fit }: LevelReport): string {
  if (status === 'unsure' && found !== undefined) return unsure(found);
  if (status === 'level') return `stands level already${found ? ` (${sureness(found)})` : ''}`;
  const why = [
    ...(lean === undefined ? [] : [`it leaned by ${leanInWords(lean)}`]),
    ...(found === undefined ? [] : [sureness(found)]),
    ...(fit === undefined ? [] : [`${fit.points} points fit within ${fit.worst.toFixed(2)}°`]),
  ].join('; ');
  const turned = `turned by yaw ${angle(turn.yaw)}, pitch ${angle(turn.pitch)}, roll ${angle(turn.roll)}`;
  return why === '' ? turned : `${turned}: ${why}`;
}

function levelInWords(step: LevelStep): string {
  switch (step.status) {
    case 'kept':
      return 'left alone, as asked';
    case 'partial':
      return 'left alone: only a whole sphere can be levelled';
    case 'unsure':
      return unsure(step.found);
    case 'level':
      return `stands level already (within ${angle(step.found.tilt)}, ${sureness(step.found)})`;
    case 'contradicted':
      return `left alone: what was found (${leanInWords(step.found)}) did not hold when it was turned; use master level with points on the horizon`;
    case 'turned':
      return `turned: it leaned by ${leanInWords(step.found)} (${sureness(step.found)})`;
  }
}

function inspectionInWords({ before }: FinishReport): string {
  const { width, height, format, coverage, missing, holes, specks, claims } = before;
  const wrong = claims.filter(({ verdict }) => verdict === 'false').length;
  const parts = [
    `${width}x${height} ${format}`,
    ...(coverage.basis === 'supposed'
      ? ['without a word on where it lies']
      : [`covers ${percent(coverage.percent / 100)} of the sphere`]),
    ...(holes.length > 0
      ? [`${counted(holes.length, 'hole')}, ${percent(missing.percent / 100)} missing in all`]
      : specks === undefined
        ? []
        : ['transparent specks']),
    wrong === 0 ? 'no false claim' : counted(wrong, 'false claim'),
  ];
  return parts.join(', ');
}

function completeInWords({ completed, before }: FinishReport): string {
  if (completed !== undefined) return completionInWords(completed);
  return before.missing.percent > 0 ? 'left alone, as asked' : 'whole already';
}

function markInWords({ mark }: FinishReport): string {
  const fields = mark.changes.map(({ field }) => field);
  const place = mark.place === undefined ? [] : [placeInWords(mark.place.removed)];
  const said = fields.length === 0 ? 'right already' : `set ${fields.join(', ')}`;
  return [said, ...place].join('; ');
}

const placeInWords = (removed: readonly string[]): string =>
  removed.length === 0 ? 'no tag told the place' : `place removed from ${removed.join(', ')}`;

/** The whole of it, a line a step. */
export function describeFinish(report: FinishReport): string {
  const head = report.changed
    ? `${report.file}: finished${report.redrawn ? '' : ', its pixels as they were'}.`
    : `${report.file}: nothing to change, it is a copy.`;
  const { place } = report.mark;
  return [
    head,
    `  inspect   ${inspectionInWords(report)}`,
    `  complete  ${completeInWords(report)}`,
    `  level     ${levelInWords(report.levelled)}`,
    `  mark      ${markInWords(report)}`,
    ...(place?.remaining ?? []).map((tag) => `  STILL TELLS THE PLACE: ${tag}`),
    ...(place?.unproven ?? []).map((sentence) => `  not vouched for: ${sentence}`),
    ...report.notes.map((note) => `  note: ${note}`),
  ].join('\n');
}
