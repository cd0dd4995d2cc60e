import { shortNumber } from '../words.js';
import { type Link, type ReportStep, rounded } from './chain.js';
import { SHORTEST_MOVE } from './fields.js';

/** When a move begins, and how long it takes, in seconds. */
export interface Span {
  readonly at: number;
  readonly seconds: number;
}

/** Seconds; less is a rounding error. */
const NEARLY = 1e-6;

/**
 * Moves one after the other, from time 0 or from where `at` says. Those without a length share the time
 * to the next `at`, or to the end, as their usual times are to each other; with neither they take their
 * usual time.
 *
 * @param end of the scene, in seconds, when it is given
 */
export function spansOf(
  links: readonly Link[],
  end: number | undefined,
  report: ReportStep,
): readonly Span[] {
  const spans: Span[] = [];
  for (const [first, link] of links.entries()) {
    if (first > 0 && link.at === undefined) continue;
    const next = links.findIndex(({ at }, index) => index > first && at !== undefined);
    const run = links.slice(first, next === -1 ? undefined : next);
    const before = spans.at(-1);
    const over = before === undefined ? 0 : before.at + before.seconds;
    const start = link.at ?? 0;
    if (start < over - NEARLY) {
      const moment = `${seconds(over)}`;
      report(first, 'at', `is before the move before it ends, at ${moment}; leave it out`);
    }
    const until = next === -1 ? end : links[next]!.at!;
    spans.push(...runOf(run, { first, start: Math.max(start, over), until }, report));
  }
  return spans;
}

interface Room {
  /** Which of the links the run begins with. */
  readonly first: number;
  readonly start: number;
  readonly until: number | undefined;
}

function runOf(run: readonly Link[], { first, start, until }: Room, report: ReportStep): Span[] {
  const sum = (list: readonly number[]) => list.reduce((total, value) => total + value, 0);
  const fixed = sum(run.map(({ seconds }) => seconds ?? 0));
  const usual = sum(run.map((link) => (link.seconds === undefined ? link.usual : 0)));
  const room = until === undefined ? undefined : until - start - fixed;
  const least = SHORTEST_MOVE * run.filter((link) => link.seconds === undefined).length;
  if (room !== undefined && room < least - NEARLY) {
    const needed = `${least > 0 ? 'at least ' : ''}${seconds(fixed + least)}`;
    const who = run.length > 1 ? 'the moves from here on take' : 'takes';
    const found = `${who} ${needed}, but there are ${seconds(Math.max(0, until! - start))} up to ${seconds(until!)}; give them less time, or the scene more`;
    report(first, undefined, found);
  }
  const stretch = room === undefined || usual === 0 ? 1 : Math.max(room, least) / usual;
  let at = start;
  return run.map((link): Span => {
    const span = { at: rounded(at), seconds: link.seconds ?? link.usual * stretch };
    at += span.seconds;
    return { at: span.at, seconds: rounded(at) - span.at };
  });
}

const seconds = (value: number): string => `${shortNumber(value)} s`;
