import { FLASH } from './limits.js';
import type { Cells, LuminanceGrid } from './luminance.js';
import { followCells, type Rule } from './transitions.js';

/** A stretch in which a clip flashes more than the threshold allows; seconds. */
export interface Flashing {
  /** Of luminance, or to and from saturated red. */
  readonly kind: 'general' | 'red';
  readonly from: number;
  readonly to: number;
  /** Flashes in the worst second of it. */
  readonly flashes: number;
  /** The largest share of a visual field of 10 degrees that flashes. */
  readonly share: number;
}

export interface FlashMeter {
  /** Takes the next frame's cells, as `LuminanceGrid.of` gives them. */
  add(cells: Cells): void;
  /** What was found up to now, of each kind in order of time. */
  found(): readonly Flashing[];
}

/** Seconds within which changes count as one: what the eye takes together. Our choice. */
const TOGETHER = 0.1;

/** Fields are tried at every so many cells. */
const STEP = 4;

const general: Rule = (from, to) =>
  Math.abs(from - to) >= FLASH.change && Math.min(from, to) < FLASH.darkerBelow;

const red: Rule = (from, to, fromSaturated, toSaturated) =>
  Math.abs(from - to) > FLASH.red.change && fromSaturated + toSaturated > 0;

/**
 * Measures a clip by WCAG 2's general flash and red flash thresholds. Each cell's luminance is followed from peak
 * to valley; a change of at least `FLASH.change` is a transition. So is its redness, of which a change of more than
 * `FLASH.red.change` is one, where it begins or ends at a saturated red. A field of 10 degrees makes one when the
 * cells that go up together are more than those that go down (or the other way round) by `FLASH.share` of
 * it: so leaves that pass by, each at its own time, are no flash, and a cut from bright to dark is. Two
 * opposing transitions are a flash, and a field with more than `FLASH.perSecond` of them in any second is
 * above the threshold.
 */
export function createFlashMeter(
  grid: Pick<LuminanceGrid, 'columns' | 'rows' | 'field'>,
  fps: number,
): FlashMeter {
  const count = grid.columns * grid.rows;
  const byLuminance = createKindMeter('general', general, grid, fps);
  const byRed = createKindMeter('red', red, grid, fps);
  return {
    add({ luminance, redness, saturated }) {
      if (luminance.length !== count)
        throw new Error(`The meter takes ${count} cells, found ${luminance.length}.`);
      byLuminance.add(luminance);
      byRed.add(redness, saturated);
    },
    found: () => [...byLuminance.found(), ...byRed.found()],
  };
}

function createKindMeter(
  kind: Flashing['kind'],
  rule: Rule,
  { columns, rows, field }: Pick<LuminanceGrid, 'columns' | 'rows' | 'field'>,
  fps: number,
) {
  const cells = followCells(columns * rows, rule);
  const together = Math.max(1, Math.round(TOGETHER * fps));
  const fields = fieldsIn(columns, rows, field);
  const sums = new Int32Array((columns + 1) * (rows + 1));
  const stretches: Flashing[] = [];
  let frame = 0;
  return {
    add(values: Float32Array, flags?: Uint8Array) {
      cells.add(values, flags, frame);
      // Most frames of most clips have nothing that a field could have turned by.
      if (!cells.any(frame - together - fps)) {
        frame++;
        return;
      }
      sumUp(sums, columns, rows, (cell) => cells.heading(cell, frame - together));
      let flashes = 0;
      let share = 0;
      for (const one of fields) {
        const net = one.net(sums) / (field[0] * field[1]);
        if (Math.abs(net) > FLASH.share) one.turn(Math.sign(net), Math.abs(net), frame);
        const found = one.flashesSince(frame - fps);
        if (found.flashes <= FLASH.perSecond) continue;
        flashes = Math.max(flashes, found.flashes);
        share = Math.max(share, found.share);
      }
      frame++;
      if (flashes > 0) {
        // The second that ends with this frame.
        const from = Math.max(0, frame / fps - 1);
        extend(stretches, { kind, from, to: frame / fps, flashes, share });
      }
    },
    found: (): readonly Flashing[] => stretches,
  };
}

/** Sums over everything above and to the left, so that any rectangle's sum is four lookups. */
function sumUp(
  sums: Int32Array,
  columns: number,
  rows: number,
  cellOf: (cell: number) => number,
): void {
  for (let y = 0; y < rows; y++) {
    for (let x = 0; x < columns; x++) {
      const at = (y + 1) * (columns + 1) + x + 1;
      sums[at] =
        cellOf(y * columns + x) + sums[at - 1]! + sums[at - columns - 1]! - sums[at - columns - 2]!;
    }
  }
}

/** A field of 10 degrees, and its transitions. */
interface Field {
  net(sums: Int32Array): number;
  turn(direction: number, share: number, frame: number): void;
  /** Of the transitions after that frame. */
  flashesSince(frame: number): { readonly flashes: number; readonly share: number };
}

/** Fields all over the frame, which may be smaller than one. */
function fieldsIn(
  columns: number,
  rows: number,
  [across, down]: readonly [number, number],
): readonly Field[] {
  const [w, h] = [Math.min(columns, Math.round(across)), Math.min(rows, Math.round(down))];
  const starts = (cells: number, size: number) => {
    const last = cells - size;
    const count = Math.ceil(last / STEP);
    return Array.from({ length: count + 1 }, (_, index) => Math.min(last, index * STEP));
  };
  return starts(rows, h).flatMap((y) =>
    starts(columns, w).map((x) => {
      const [top, bottom] = [y * (columns + 1) + x, (y + h) * (columns + 1) + x];
      return fieldOf((sums) => sums[bottom + w]! - sums[bottom]! - sums[top + w]! + sums[top]!);
    }),
  );
}

function fieldOf(net: Field['net']): Field {
  let heading = 0;
  let transitions: { readonly frame: number; readonly share: number }[] = [];
  return {
    net,
    turn(direction, share, frame) {
      if (direction === heading) return;
      heading = direction;
      transitions.push({ frame, share });
    },
    flashesSince(since) {
      transitions = transitions.filter(({ frame }) => frame > since);
      const share = Math.max(0, ...transitions.map((transition) => transition.share));
      return { flashes: Math.floor(transitions.length / 2), share };
    },
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
    kind: last.kind,
    from: last.from,
    to: next.to,
    flashes: Math.max(last.flashes, next.flashes),
    share: Math.max(last.share, next.share),
  };
}
