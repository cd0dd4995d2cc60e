/**
 * Whether going from one state of a cell to another is a transition. Flags are 1 where a state is one that the rule
 * asks for, such as a saturated red.
 */
export type Rule = (from: number, to: number, fromFlag: number, toFlag: number) => boolean;

export interface Transitions {
  /** Takes the next frame: each cell's value, and its flag where the rule has them. */
  add(values: Float32Array, flags: Uint8Array | undefined, frame: number): void;
  /** 1 where the cell has gone up since that frame, -1 down, 0 neither. */
  heading(cell: number, since: number): number;
  /** Whether any cell has turned since that frame. */
  any(since: number): boolean;
}

/** Follows every one of `count` cells from peak to valley: a change that the rule takes turns it. */
export function followCells(count: number, rule: Rule): Transitions {
  const extreme = new Float32Array(count);
  const lowest = new Float32Array(count);
  const extremeFlag = new Uint8Array(count);
  const lowestFlag = new Uint8Array(count);
  const direction = new Int8Array(count);
  let latest = Number.MIN_SAFE_INTEGER;
  const turnedAt = new Int32Array(count).fill(Number.MIN_SAFE_INTEGER);

  const setExtreme = (cell: number, value: number, flag: number) => {
    extreme[cell] = value;
    extremeFlag[cell] = flag;
  };

  /** Until the first change both the peak and the valley are open. */
  const begun = (cell: number, value: number, flag: number): boolean => {
    if (value >= extreme[cell]!) setExtreme(cell, value, flag);
    if (value <= lowest[cell]!) {
      lowest[cell] = value;
      lowestFlag[cell] = flag;
    }
    const [high, low] = [extreme[cell]!, lowest[cell]!];
    if (!rule(high, low, extremeFlag[cell]!, lowestFlag[cell]!)) return false;
    direction[cell] = value === low ? -1 : 1;
    setExtreme(cell, value, flag);
    return true;
  };

  /** Whether the cell has just changed by a transition, opposing the one before. */
  const turned = (cell: number, value: number, flag: number): boolean => {
    const heading = direction[cell]!;
    if (heading === 0) return begun(cell, value, flag);
    const last = extreme[cell]!;
    if ((value - last) * heading >= 0) {
      setExtreme(cell, value, flag);
      return false;
    }
    if (!rule(last, value, extremeFlag[cell]!, flag)) return false;
    setExtreme(cell, value, flag);
    direction[cell] = -heading;
    return true;
  };

  return {
    add(values, flags, frame) {
      for (let cell = 0; cell < count; cell++) {
        const value = values[cell]!;
        const flag = flags?.[cell] ?? 0;
        if (frame === 0) {
          setExtreme(cell, value, flag);
          lowest[cell] = value;
          lowestFlag[cell] = flag;
        } else if (turned(cell, value, flag)) turnedAt[cell] = latest = frame;
      }
    },
    any: (since) => latest > since,
    heading: (cell, since) => (turnedAt[cell]! > since ? direction[cell]! : 0),
  };
}
