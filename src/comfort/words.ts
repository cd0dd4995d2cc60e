import { shortNumber } from '../scene/words.js';
import type { Flashing } from './flashes.js';
import { FLASH } from './limits.js';

/** A stretch that flashes, in a sentence. */
export function flashingText({ kind, from, to, flashes, share }: Flashing): string {
  const percent = Math.min(100, Math.round(100 * share));
  const what = kind === 'red' ? 'flashes red' : 'flashes';
  return `${what} up to ${flashes} times a second from ${shortNumber(from, 1)} to ${shortNumber(to, 1)} s, over ${percent} % of a field of 10 degrees: WCAG 2 (2.3.1) allows ${FLASH.perSecond} in any second, since more can cause seizures`;
}
