import type { Overlay } from '../scene/types.js';

/** Seconds; two times nearer than this are one. */
const SAME_TIME = 1e-6;

/**
 * How much of an overlay shows at an instant, 0 to 1: it comes and goes evenly over its fade, at most half
 * its time each, but is there at once at the very start of what it lies over, and to its very end.
 *
 * @param duration of what it lies over, in seconds
 */
export function opacityAt(
  { from, to, fade, opacity }: Pick<Overlay, 'from' | 'to' | 'fade' | 'opacity'>,
  seconds: number,
  duration: number,
): number {
  if (seconds < from - SAME_TIME || seconds >= to - SAME_TIME) return 0;
  const span = Math.min(fade, (to - from) / 2);
  const coming = from < SAME_TIME ? 1 : ramp(seconds - from, span);
  const going = to > duration - SAME_TIME ? 1 : ramp(to - seconds, span);
  return opacity * Math.min(coming, going);
}

const ramp = (passed: number, span: number): number =>
  span === 0 ? 1 : Math.min(1, Math.max(0, passed / span));
