import type { Ease } from './types.js';

const bezier = (...points: [number, number, number, number]): Ease => ({ kind: 'bezier', points });

/** Names and control points of CSS Easing Functions Level 1 (W3C), and `hold`. */
const NAMED: Readonly<Record<string, Ease>> = {
  linear: { kind: 'linear' },
  ease: bezier(0.25, 0.1, 0.25, 1),
  'ease-in': bezier(0.42, 0, 1, 1),
  'ease-out': bezier(0, 0, 0.58, 1),
  'ease-in-out': bezier(0.42, 0, 0.58, 1),
  hold: { kind: 'hold' },
};

export const easeNames: readonly string[] = Object.keys(NAMED);

/**
 * A channel stops only at the keyframes that set it, so a gentle start and stop suits the common
 * pair of keyframes; `linear` is for even turning through several.
 */
export const DEFAULT_EASE = 'ease-in-out';

/** Control points' y may overshoot, but not wildly. */
const LARGEST_Y = 10;

export const easeTakes = `takes linear, ease, ease-in, ease-out, ease-in-out, hold or cubic-bezier(x1, y1, x2, y2) with x1 and x2 from 0 to 1 and y1 and y2 from -${LARGEST_Y} to ${LARGEST_Y}`;

export function parseEase(text: string): Ease | undefined {
  const word = text.trim();
  if (Object.hasOwn(NAMED, word)) return NAMED[word];
  const inside = /^cubic-bezier\(([^()]*)\)$/u.exec(word)?.[1];
  const parts = inside?.split(',').map((part) => part.trim());
  if (parts?.length !== 4 || !parts.every((part) => /^[-+]?(\d+\.?\d*|\.\d+)$/u.test(part))) {
    return undefined;
  }
  const [x1, y1, x2, y2] = parts.map(Number) as [number, number, number, number];
  const fits =
    Math.min(x1, x2) >= 0 &&
    Math.max(x1, x2) <= 1 &&
    Math.max(Math.abs(y1), Math.abs(y2)) <= LARGEST_Y;
  return fits ? bezier(x1, y1, x2, y2) : undefined;
}

/** An easing as a scene writes it. */
export function easeText(ease: Ease): string {
  const name = easeNames.find((name) => JSON.stringify(NAMED[name]) === JSON.stringify(ease));
  if (name !== undefined || ease.kind !== 'bezier') return name ?? ease.kind;
  return `cubic-bezier(${ease.points.join(', ')})`;
}
