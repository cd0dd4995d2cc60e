import { parseEase } from './ease.js';
import type { Report } from './resolve.js';
import type { SceneFields } from './schema.js';
import { momentSeconds } from './time.js';
import type { Timing, TimingStop } from './types.js';
import { shortNumber } from './words.js';

const LINEAR = parseEase('linear')!;

/** Two times nearer than this, in seconds, are one. */
const SAME_TIME = 1e-6;

export type TimedFields = SceneFields & { readonly duration: number };

/** How the clip's time runs, in seconds; mistakes between fields are reported. */
export function resolveTiming(fields: TimedFields, report: Report): Timing | undefined {
  const { timing, duration } = fields;
  const length = ownLength(fields);
  if (timing === undefined) {
    if (fields.sceneLength !== undefined) {
      report(
        ['sceneLength'],
        'goes with timing; without it the scene lasts as long as its clip, so leave it out',
      );
    }
    return undefined;
  }
  const straight = { ease: LINEAR, smooth: false };
  if (timing === 'ping-pong') {
    const shows = [0, length, 0];
    const stops = shows.map((shows, index) => ({ at: (index * duration) / 2, shows, ...straight }));
    return { stops, length };
  }
  const drafts = timing.map(({ at, shows, ease, path }, index) => {
    const stop: TimingStop = {
      at: momentSeconds(at, duration),
      shows: momentSeconds(shows, length),
      ease: ease ?? LINEAR,
      smooth: path === 'smooth',
    };
    const limits = [
      ['at', stop.at, duration, 'the duration'],
      ['shows', stop.shows, length, "the scene's own length"],
    ] as const;
    for (const [field, seconds, most, called] of limits) {
      if (seconds <= most + SAME_TIME) continue;
      const range = `from 0 to ${called}, ${shortNumber(most)} s`;
      report(['timing', index, field], `takes a time ${range}, found ${shortNumber(seconds)} s`);
    }
    if (stop.smooth && ease !== undefined) {
      report(
        ['timing', index, 'ease'],
        'has no place beside path: smooth, which runs on without easing; leave one of them out',
      );
    }
    return { stop, index };
  });
  drafts.sort((a, b) => a.stop.at - b.stop.at);
  for (const [order, { stop, index }] of drafts.entries()) {
    const before = drafts[order - 1];
    if (before === undefined || stop.at - before.stop.at >= SAME_TIME) continue;
    const [earlier, later] = [before.index, index].sort((a, b) => a - b) as [number, number];
    report(
      ['timing', later, 'at'],
      `is the time of timing[${earlier}] too, ${shortNumber(stop.at)} s; keep one of them`,
    );
  }
  return { stops: drafts.map(({ stop }) => stop), length };
}

/** Of the scene's own time, in seconds. */
function ownLength({ timing, duration, sceneLength }: TimedFields): number {
  if (sceneLength !== undefined) return sceneLength;
  if (timing === 'ping-pong') return duration / 2;
  const shown = (timing ?? []).flatMap(({ shows }) => ('seconds' in shows ? [shows.seconds] : []));
  // Shares alone are taken of the clip's length.
  return Math.max(...shown, 0) || duration;
}
