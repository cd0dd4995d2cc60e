import { resolve } from 'node:path';
import { removeTemporary, temporaryBeside } from '../encode/temporary.js';
import { degrees } from '../math.js';
import { breather } from './breath.js';
import { checkHoles, checkOptions, holdsTexture, notesOn } from './complete/check.js';
import { colourPaint, type Paint, smoothPaint, texturePaint } from './complete/fill.js';
import { NO_GRAIN } from './complete/grain.js';
import { findHoles } from './complete/holes.js';
import { joinRim } from './complete/join.js';
import { layPatch } from './complete/mark.js';
import { measureGrain } from './complete/noise.js';
import { openCanvas } from './complete/open.js';
import { paintTops } from './complete/prolong.js';
import { Reductions } from './complete/reduce.js';
import { save } from './complete/save.js';
import { latitudeOf, longitudeOf } from './complete/sphere.js';
import { writeRows } from './complete/spill.js';
import type { Surroundings } from './complete/surroundings.js';
import type { CompleteOptions, CompleteReport, HoleReport } from './complete/types.js';
import { withoutLines } from './complete/unlined.js';
import { type Easel, easel, paintRows, rowsOf } from './complete/write.js';
import { freeUnused } from './freeUnused.js';
import { noteOn } from './transparency.js';

export type { PlacementOptions } from './complete/placement.js';
export { placement } from './complete/placement.js';
export type {
  CompleteOptions,
  CompleteReport,
  FillName,
  HoleReport,
  PatchOptions,
} from './complete/types.js';

const FEATHER = 2 * (Math.PI / 180);
/** Pixels between looks at the signal: a fraction of a second. */
const BREATH_PIXELS = 2 ** 18;

/** Fills one hole and tells how. */
async function fillHole(
  on: Easel,
  around: Surroundings,
  options: CompleteOptions,
  onShare: (share: number) => void,
): Promise<HoleReport> {
  const wanted = options.fill === 'patch' ? 'texture' : (options.fill ?? 'texture');
  const filledBy = wanted === 'texture' && !holdsTexture(around) ? 'smooth' : wanted;
  const paint = () => paintHole(on, around, options, filledBy, onShare);
  const { tops } = filledBy === 'texture' ? await withoutLines(on, around, paint) : await paint();
  if (tops) paintTops(on, tops);
  const { hole } = around;
  return {
    centre: {
      longitude: degrees(longitudeOf(hole.centre)),
      latitude: degrees(latitudeOf(hole.centre)),
    },
    radius: degrees(hole.radius),
    solidAngle: hole.solidAngle,
    pixels: hole.pixels,
    filledBy,
    noise: around.grain.sigma,
  };
}

/** Paints a hole's pixels and joins them to its rim. */
async function paintHole(
  on: Easel,
  around: Surroundings,
  options: CompleteOptions,
  fill: HoleReport['filledBy'],
  onShare: (share: number) => void,
): Promise<Paint> {
  const { hole, breathe } = around;
  const paint: Paint =
    fill === 'texture'
      ? await texturePaint(around, (share) => onShare(0.7 * share))
      : fill === 'colour'
        ? await colourPaint(around, options.colour, Math.min(FEATHER, hole.radius))
        : await smoothPaint(around);
  const [first, end] = rowsOf(on, hole);
  const rows = Math.max(1, Math.floor(BREATH_PIXELS / on.canvas.width));
  for (let y = first; y < end; y += rows) {
    await breathe();
    paintRows(on, hole, paint, y, Math.min(end, y + rows));
    onShare(0.7 + (0.3 * (y - first)) / (end - first));
  }
  if (fill !== 'colour') await joinRim(on, hole, paint, [first, end], breathe);
  return paint;
}

/**
 * Makes a whole sphere of a partial master: places it on a true 2:1 canvas (never stretched), fills
 * what is missing, transparent or masked, on the sphere, and writes it with its metadata. Known pixels
 * keep their very code values (so does the file, where it is PNG or TIFF), except below a patch.
 *
 * Works on stored code values (gamma), not on linear light: a fill is judged by, and joined to, the
 * code values beside it; in linear light one bright rim pixel would outweigh all dark ones.
 *
 * Throws InputError, WorkError, or Interrupted; leaves nothing behind then.
 */
export async function completeMaster(options: CompleteOptions): Promise<CompleteReport> {
  checkOptions(options);
  const { output, quality = 95, onProgress = () => {} } = options;
  const spill = temporaryBeside(resolve(output), '.v');
  try {
    // The canvas goes out of scope before the file is encoded: both at once would be twice the memory.
    const report = await fillSpill(options, spill);
    freeUnused();
    onProgress('writing', 0.8);
    await save(spill, output, report.canvas.depth, quality);
    onProgress('done', 1);
    return report;
  } finally {
    await removeTemporary(spill);
  }
}

/** Opens the master into the uncompressed file, fills its holes there and reports. */
async function fillSpill(options: CompleteOptions, spill: string): Promise<CompleteReport> {
  const { input, seed = 1, onProgress = () => {}, signal } = options;
  const breathe = breather(signal);
  onProgress('reading', 0);
  const { canvas, placed, size, beside } = await openCanvas(input, spill, options, breathe);
  await breathe();
  const map = findHoles(canvas);
  checkHoles(input, canvas, map.holes);
  await breathe();
  const on = easel(canvas, map);
  const reductions = new Reductions(canvas, breathe);
  const holes: HoleReport[] = [];
  let done = 0;
  const total = map.holes.reduce((n, h) => n + h.pixels, 0);
  for (const hole of map.holes) {
    const grain = options.fill === 'colour' ? NO_GRAIN : measureGrain(canvas, hole, seed);
    await breathe();
    const around: Surroundings = {
      canvas,
      reductions,
      hole,
      seed: seed + hole.label,
      grain,
      breathe,
    };
    const share = (part: number) =>
      onProgress('filling', 0.15 + (0.65 * (done + part * hole.pixels)) / total);
    holes.push(await fillHole(on, around, options, share));
    done += hole.pixels;
  }
  if (options.patch) await layPatch(on, options.patch);
  await breathe();
  await writeRows(spill, canvas, on.changed);
  const missing = holes.reduce((sum, h) => sum + h.solidAngle, 0) / (4 * Math.PI);
  return {
    canvas: { width: canvas.width, height: canvas.height, depth: canvas.depth },
    placed: { left: placed.left, top: placed.top, ...size },
    known: 1 - missing,
    holes,
    patched: options.patch !== undefined,
    notes: [...notesOn(options, canvas.depth, holes), ...noteOn(beside)],
  };
}
