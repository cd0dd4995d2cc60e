import { type Coverage, goesAllRound } from './coverage.js';
import type { Grid } from './grid.js';
import { labelAlike, type Region } from './regions.js';
import { withRing } from './ring.js';

/** A part of the picture that shows nothing: transparent, or one colour with a hard edge. */
export interface Hole {
  readonly kind: 'transparent' | 'constant';
  /** RGB code values of a constant hole. */
  readonly colour?: readonly [number, number, number];
  readonly touches: readonly ('top' | 'bottom')[];
  /** Degrees: the hole's extent. Longitudes may run past 180 where it crosses the seam. */
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
  /** Steradians. */
  readonly solidAngle: number;
  /** Of the whole sphere. */
  readonly percent: number;
}

export interface HoleMap {
  /** Largest first. */
  readonly holes: readonly Hole[];
  /** One byte a sample of the grid: 1 in a hole. */
  readonly mask: Uint8Array;
}

const WHOLE = 4 * Math.PI;
/** Steradians of the cap of that radius. */
const cap = (degrees: number): number => 2 * Math.PI * (1 - Math.cos((degrees * Math.PI) / 180));
/** One for what holes usually are, and one for a colour that real things may have. */
const SMALLEST_AT_EDGE = cap(1);
const SMALLEST_INSIDE = cap(3);
/** In a small picture a few neighbouring samples are of one colour by chance. */
const FEWEST_INSIDE = 600;
/** Code values by which a hole's rim must differ from the picture beside it: a clear sky fades slower. */
const HARD_EDGE = 6;
/** Share of a constant hole's samples that have exactly its commonest colour, give or take one code. */
const EVEN_SHARE = 0.9;
/** The same of a black one in whose rim a lossy format rings, and the codes by which what lies beyond must differ. */
const RINGING_SHARE = 0.7;
const CUT_OUT = 32;
/** Two channels this bright are light rather than paint. */
const BRIGHT = 252;
/** Samples: JPEG's rings beside an edge are thinner than its blocks. */
const BLOCK = 8;
const LEVEL = 0.9;
const BLACK = 3;
/**
 * Where nothing has flattened the picture, an area of exactly one code in the midst of noise is made, however near its
 * colour; JPEG makes such areas itself.
 */
const SMALLEST_EXACT = cap(2);
const FEWEST_EXACT = 150;
/** Share of what lies beyond its rim that goes up and down: two thirds in grey noise, next to none in a fade. */
const NOISY = 0.5;

/** Finds the holes of a picture on its grid of samples. */
export function findHoles(grid: Grid, coverage: Coverage): HoleMap {
  const round = goesAllRound(coverage);
  const mask = new Uint8Array(grid.width * grid.height);
  const holes: Hole[] = [];
  const add = (region: Region) => {
    for (const index of region.members) mask[index] = 1;
    holes.push(describe(region, grid, coverage));
  };
  for (const region of labelAlike(grid, round, SMALLEST_AT_EDGE)) {
    const likely = !region.transparent && (region.fillsPoleRow || isBlack(region));
    const whole = likely ? withRing(region, grid, round) : region;
    if (isHole(region, whole, grid)) add(likely ? whole : withRing(region, grid, round));
  }
  const exact = grid.lossy ? [] : labelAlike(grid, round, SMALLEST_EXACT, 0);
  for (const region of exact) {
    if (mask[region.members[0]!] === 0 && isExactHole(region, grid)) add(region);
  }
  return { holes: holes.sort((a, b) => b.solidAngle - a.solidAngle), mask };
}

const isBlack = ({ colour }: Region): boolean => colour.every((code) => code <= BLACK);
const isBright = ({ colour }: Region): boolean =>
  colour.filter((code) => code >= BRIGHT).length >= 2;

/** Whether it is no more than four times as long as wide, in degrees: fades make bands, also in noise. */
function isRoundish({ firstRow, lastRow, columns, fillsPoleRow }: Region, grid: Grid): boolean {
  if (fillsPoleRow) return true;
  const rows = lastRow - firstRow + 1;
  // A row of samples near a pole is as short as its solid angle is small.
  const middle = grid.solidAngles[(firstRow + lastRow) >> 1]! / Math.max(...grid.solidAngles);
  const ratio = (columns * middle) / rows;
  return ratio <= 4 && ratio >= 1 / 4;
}

/** Of a region of a single code, nearly of the colour beside it. */
function isExactHole(region: Region, grid: Grid): boolean {
  const { transparent, members, firstRow, lastRow, columns, roughness, edge } = region;
  // A channel at its end is clipped: light, shade, or a colour as bright as there is.
  const clipped = region.colour.some((code) => code <= BLACK || code >= BRIGHT);
  if (grid.posterised || transparent || clipped) return false;
  // What stands out more is judged as any other.
  if (members.length < FEWEST_EXACT || edge >= 2 * HARD_EDGE) return false;
  const rows = lastRow - firstRow + 1;
  return Math.min(rows, columns) >= BLOCK && roughness >= NOISY && isRoundish(region, grid);
}

/** `whole`: with what a lossy format has blurred of it, where it holds a pole or is black. */
function isHole(region: Region, whole: Region, grid: Grid): boolean {
  const atEdge = region.firstRow === 0 || region.lastRow === grid.height - 1;
  if (region.transparent) return true;
  const level = region.fillsPoleRow && whole.levelShare >= LEVEL;
  if (grid.posterised && !level) return false;
  const black = isBlack(region);
  const likely = atEdge && (black || region.fillsPoleRow);
  const [smallest, fewest] = likely ? [SMALLEST_AT_EDGE, 60] : [SMALLEST_INSIDE, FEWEST_INSIDE];
  if (region.solidAngle < smallest || region.members.length < fewest) return false;
  // Dark ground may come close to a black cap's colour; nothing real is black up to a level line.
  if (black && level) return true;
  // Of shadows that only end in black, the next few samples are dark as well.
  const cutOut = black && whole.edge >= CUT_OUT && region.evenShare >= RINGING_SHARE;
  if (region.evenShare < EVEN_SHARE && !cutOut) return false;
  const rows = region.lastRow - region.firstRow + 1;
  if (!atEdge && Math.min(rows, region.columns) < BLOCK) return false;
  // Blown light is of one colour too, but seldom up to the pole and never along a level line.
  const edge = region.fillsPoleRow ? region.farEdge : region.edge;
  return (edge >= HARD_EDGE || cutOut) && (!isBright(region) || level) && !region.fadesOn;
}

function describe(region: Region, grid: Grid, coverage: Coverage): Hole {
  const perRow = (coverage.top - coverage.bottom) / grid.height;
  const perColumn = (coverage.right - coverage.left) / grid.width;
  const touches: ('top' | 'bottom')[] = [];
  if (region.firstRow === 0) touches.push('top');
  if (region.lastRow === grid.height - 1) touches.push('bottom');
  return {
    kind: region.transparent ? 'transparent' : 'constant',
    ...(region.transparent ? {} : { colour: region.colour }),
    touches,
    left: coverage.left + region.firstColumn * perColumn,
    right: coverage.left + (region.firstColumn + region.columns) * perColumn,
    top: coverage.top - region.firstRow * perRow,
    bottom: coverage.top - (region.lastRow + 1) * perRow,
    solidAngle: region.solidAngle,
    percent: (100 * region.solidAngle) / WHOLE,
  };
}
