import { FLASH } from './limits.js';
import type { LuminanceGrid } from './luminance.js';

/** A stretch in which a clip flashes more than the threshold allows; seconds. */
export interface Flashing {
  readonly from: number;
  readonly to: number;
  /** Flashes in the worst second of it. */
  readonly flashes: number;
  /** The largest share of a visual field of 10 degrees that flashes. */
  readonly share: number;
}

export interface FlashMeter {
  /** Takes the next frame's cells, as `LuminanceGrid.of` gives them. */
  add(luminance: Float32Array): void;
  /** What was found up to now, in order of time. */
  found(): readonly Flashing[];
}

/** Most transitions of a cell that are remembered: as many as a second of any frame rate can hold. */
const memoryFor = (fps: number): number => Math.ceil(fps) + 2;

/**
 * Measures a clip by WCAG 2's general flash threshold. Each cell's luminance is followed from peak to
 * valley; changes of at least `FLASH.change` are transitions, two opposing ones a flash. Cells with more
 * than `FLASH.perSecond` flashes in the last second count as flashing, and where they fill more than
 * `FLASH.share` of a field of 10 degrees, wherever it lies, the clip is above the threshold. That all of
 * them flash within the same second, not in the same frame, is on the careful side.
 */
export function createFlashMeter(
  { columns, rows, field }: Pick<LuminanceGrid, 'columns' | 'rows' | 'field'>,
  fps: number,
): FlashMeter {
  const cells = columns * rows;
  const extreme = new Float32Array(cells);
  const lowest = new Float32Array(cells);
  const direction = new Int8Array(cells);
  const memory = memoryFor(fps);
  const times = new Int32Array(cells * memory);
  const counts = new Uint32Array(cells);
  const flashing = new Uint8Array(cells);
  const stretches: Flashing[] = [];
  let frame = 0;

  /** Whether the cell's luminance has just changed by a transition, opposing the one before. */
  const turned = (cell: number, value: number): boolean => {
    const heading = direction[cell]!;
    if (heading === 0) {
      // Until the first change both the peak and the valley are open.
      extreme[cell] = Math.max(extreme[cell]!, value);
      lowest[cell] = Math.min(lowest[cell]!, value);
      if (extreme[cell]! - lowest[cell]! < FLASH.change || lowest[cell]! >= FLASH.darkerBelow)
        return false;
      direction[cell] = value === lowest[cell] ? -1 : 1;
      extreme[cell] = value;
      return true;
    }
    const last = extreme[cell]!;
    if ((value - last) * heading >= 0) {
      extreme[cell] = value;
      return false;
    }
    if (Math.abs(value - last) < FLASH.change || Math.min(value, last) >= FLASH.darkerBelow)
      return false;
    extreme[cell] = value;
    direction[cell] = -heading;
    return true;
  };

  /** Flashes of the cell in the second that ends with this frame. */
  const flashesOf = (cell: number): number => {
    let transitions = 0;
    const kept = Math.min(memory, counts[cell]!);
    for (let back = 1; back <= kept; back++) {
      if (frame - times[cell * memory + ((counts[cell]! - back) % memory)]! >= fps) break;
      transitions++;
    }
    return Math.floor(transitions / 2);
  };

  return {
    add(luminance) {
      if (luminance.length !== cells)
        throw new Error(`The meter takes ${cells} cells, found ${luminance.length}.`);
      let most = 0;
      let any = false;
      for (let cell = 0; cell < cells; cell++) {
        if (frame === 0) extreme[cell] = lowest[cell] = luminance[cell]!;
        else if (turned(cell, luminance[cell]!)) {
          times[cell * memory + (counts[cell]! % memory)] = frame;
          counts[cell]! += 1;
        }
        const flashes = counts[cell]! > 2 * FLASH.perSecond ? flashesOf(cell) : 0;
        flashing[cell] = Number(flashes > FLASH.perSecond);
        if (flashing[cell]) {
          most = Math.max(most, flashes);
          any = true;
        }
      }
      const share = any ? largestShare(flashing, columns, rows, field) : 0;
      if (share > FLASH.share) {
        // The second that ends with this frame.
        const from = Math.max(0, (frame + 1) / fps - 1);
        extend(stretches, { from, to: (frame + 1) / fps, flashes: most, share });
      }
      frame++;
    },
    found: () => stretches,
  };
}

/** Overlapping stretches are one. */
function extend(stretches: Flashing[], next: Flashing): void {
  const last = stretches.at(-1);
  if (last === undefined || last.to < next.from) {
    stretches.push(next);
    return;
  }
  stretches[stretches.length - 1] = {
    from: last.from,
    to: next.to,
    flashes: Math.max(last.flashes, next.flashes),
    share: Math.max(last.share, next.share),
  };
}

/** Of all fields in the frame (which may be smaller than a field), the share of the one most filled. */
function largestShare(
  mask: Uint8Array,
  columns: number,
  rows: number,
  [across, down]: readonly [number, number],
): number {
  const [w, h] = [Math.min(columns, Math.round(across)), Math.min(rows, Math.round(down))];
  const sums = new Uint32Array((columns + 1) * (rows + 1));
  for (let y = 0; y < rows; y++) {
    for (let x = 0; x < columns; x++) {
      const at = (y + 1) * (columns + 1) + x + 1;
      sums[at] =
        mask[y * columns + x]! + sums[at - 1]! + sums[at - columns - 1]! - sums[at - columns - 2]!;
    }
  }
  let most = 0;
  for (let y = 0; y + h <= rows; y++) {
    for (let x = 0; x + w <= columns; x++) {
      const [top, bottom] = [y * (columns + 1) + x, (y + h) * (columns + 1) + x];
      most = Math.max(most, sums[bottom + w]! - sums[bottom]! - sums[top + w]! + sums[top]!);
    }
  }
  return most / (across * down);
}
