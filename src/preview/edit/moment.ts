import { parseDocument } from 'yaml';
import type { Change } from '../protocol.js';

/** A moved keyframe's time, written as it was before: as a share, a timecode, seconds with an s. */
export function inItsUnit(text: string, change: Change, duration: number): Change {
  if (change.kind !== 'set' || change.place.at(-1) !== 'at') return change;
  const { value } = change;
  if (typeof value !== 'number') return change;
  const old = parseDocument(text, { logLevel: 'error' }).getIn(change.place);
  return { ...change, value: likeBefore(String(old), value, duration) };
}

const rounded = (value: number, digits: number): number => Number(value.toFixed(digits));

export function likeBefore(old: string, seconds: number, duration: number): number | string {
  if (old.trim().endsWith('%')) return `${rounded((100 * seconds) / duration, 4)}%`;
  if (old.trim().endsWith('s')) return `${rounded(seconds, 4)}s`;
  if (!old.includes(':')) return rounded(seconds, 4);
  const [whole, part] = seconds.toFixed(3).split('.') as [string, string];
  const two = (value: number) => String(value).padStart(2, '0');
  const [minutes, rest] = [Math.floor(Number(whole) / 60), Number(whole) % 60];
  const parts = old.split(':').length === 3 ? [Math.floor(minutes / 60), minutes % 60] : [minutes];
  return `${[...parts, rest].map(two).join(':')}.${part}`;
}
