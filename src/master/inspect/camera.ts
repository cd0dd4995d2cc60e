import { placeTags } from '../mark/place.js';
import { findTag, type Tag } from '../metadata.js';
import type { CameraFacts } from './types.js';

const text = (value: unknown): string | undefined =>
  value === undefined || value === null || value === '' ? undefined : String(value).trim();

function firstOf(tags: readonly Tag[], ...names: readonly string[]): string | undefined {
  for (const name of names) {
    const found = tags.find((tag) => tag.name === name && text(tag.value) !== undefined);
    if (found !== undefined) return text(found.value);
  }
  return undefined;
}

const NO_TIME = /^0000/;

function capturedAt(tags: readonly Tag[]): string | undefined {
  const time = firstOf(tags, 'DateTimeOriginal', 'CreationDate', 'MediaCreateDate', 'CreateDate');
  if (time === undefined || NO_TIME.test(time)) return undefined;
  const offset = text(findTag(tags, 'ExifIFD', 'OffsetTimeOriginal')?.value);
  return offset === undefined || /[+-]\d\d:\d\d$/.test(time) ? time : `${time}${offset}`;
}

function set<K extends string>(key: K, value: string | undefined): { [P in K]?: string } {
  return (value === undefined ? {} : { [key]: value }) as { [P in K]?: string };
}

/** What the camera wrote about itself and the moment. The place is only told to exist. */
export function cameraFacts(tags: readonly Tag[]): CameraFacts {
  const focal = firstOf(tags, 'FocalLength');
  return {
    ...set('make', firstOf(tags, 'Make')),
    ...set('model', firstOf(tags, 'Model')),
    ...set('lens', firstOf(tags, 'LensModel', 'Lens')),
    ...set('focalLength', focal === undefined ? undefined : `${focal} mm`),
    ...set('captured', capturedAt(tags)),
    hasPlace: placeTags(tags).length > 0,
  };
}

export function profileName(tags: readonly Tag[]): string | undefined {
  return text(findTag(tags, 'ICC_Profile', 'ProfileDescription')?.value);
}
