import type { Place } from '../camera/aim.js';
import {
  type Compass,
  type Direction,
  type DirectionFields,
  directionOfFields,
} from './direction.js';
import type { Path } from './document.js';
import { pathOf } from './faults.js';
import { CENTRE } from './place.js';
import type { Report } from './resolve.js';
import type { Keyframe, Mark } from './types.js';
import { describe, didYouMean, listed, shortNumber } from './words.js';

interface Written {
  readonly yaw?: number | undefined;
  readonly pitch?: number | undefined;
  readonly heading?: number | undefined;
  readonly look?: string | DirectionFields | undefined;
  readonly place?: Place | undefined;
}

/** The parts of a keyframe that say where it looks. */
export type AimPart = Partial<Pick<Keyframe, 'look' | 'place' | 'heading'>>;

export interface AimReader {
  readonly marks: readonly Mark[];
  read(fields: Written, path: Path): AimPart;
  /** A mark's name or a direction; undefined, and told, when it is neither. */
  lookOf(look: string | DirectionFields, path: Path): Mark | undefined;
}

/** Names of marks: letters, digits, spaces, - and _, so that they can stand in paths and lists. */
const NAME = /^[\p{L}\p{N}][\p{L}\p{N} _-]{0,39}$/u;

export function aimReader(
  fields: Readonly<Record<string, DirectionFields>> = {},
  compass: Compass,
  report: Report,
): AimReader {
  const marks = Object.entries(fields).flatMap(([name, direction]): Mark[] => {
    const path = ['marks', name];
    if (!NAME.test(name)) {
      const rule = 'up to 40 letters, digits, spaces, - and _, a letter or digit first';
      report(path, `a mark's name takes ${rule}, found ${describe(name)}`);
    }
    const found = directionOfFields(direction, path, compass, report);
    return found === undefined ? [] : [{ name, ...found }];
  });
  const names = Object.keys(fields);

  const markOf = (name: string, path: Path): Mark | undefined => {
    if (!names.includes(name)) {
      const known = names.length === 0 ? '; this scene has none' : `: ${listed(names)}`;
      const takes = `takes the name of a mark under marks:${known.replace(/^:/u, '')}`;
      report(path, `${takes}, found ${describe(name)}${didYouMean(name, names)}`);
    }
    return marks.find((mark) => mark.name === name);
  };
  const lookOf = (look: string | DirectionFields, path: Path): Mark | undefined => {
    if (typeof look === 'string') return markOf(look, path);
    const direction = directionOfFields(look, path, compass, report);
    return direction && { name: directionName(look, direction), ...direction };
  };

  return {
    marks,
    lookOf,
    read(fields, path) {
      reportTwice(fields, path, report);
      const look = fields.look === undefined ? undefined : lookOf(fields.look, [...path, 'look']);
      const yaw =
        fields.heading === undefined
          ? undefined
          : compass.yawOf(fields.heading, [...path, 'heading']);
      return {
        ...(look === undefined ? {} : { look }),
        ...(fields.place === undefined || (fields.look && !look) ? {} : { place: fields.place }),
        ...(yaw === undefined ? {} : { heading: yaw }),
      };
    },
  };
}

const directionName = ({ heading }: DirectionFields, { yaw, pitch }: Direction): string =>
  `${heading === undefined ? `yaw ${shortNumber(yaw)}` : `heading ${shortNumber(heading)}`}, pitch ${shortNumber(pitch)}`;

function reportTwice(fields: Written, path: Path, report: Report): void {
  const angles = (['yaw', 'heading', 'pitch'] as const).filter(
    (name) => fields[name] !== undefined,
  );
  if (fields.look !== undefined && angles.length > 0) {
    const others = listed(angles, 'and');
    const verb = angles.length > 1 ? 'do' : 'does';
    report(
      [...path, 'look'],
      `says where to look, and so ${verb} ${others}; keep one or the other`,
    );
  } else if (fields.yaw !== undefined && fields.heading !== undefined) {
    report([...path, 'heading'], 'says the yaw, and so does yaw; keep one of them');
  }
}

type Part = AimPart & Pick<Written, 'yaw' | 'pitch'>;

/** A keyframe with an override over it: whichever says anew where to look replaces all that said so. */
export function overlaid<T extends Part, O extends Part>(base: T, override: O): T & O {
  const { look, place: _place, heading: _h, yaw: _y, pitch: _p, ...rest } = base;
  if (override.look !== undefined) return { ...rest, ...override } as T & O;
  const angles = [override.yaw, override.pitch, override.heading];
  if (look !== undefined) {
    return angles.some((value) => value !== undefined)
      ? ({ ...rest, ...override } as T & O)
      : { ...base, ...override };
  }
  if (override.yaw === undefined && override.heading === undefined) return { ...base, ...override };
  const { yaw: _yaw, heading: _heading, ...others } = base;
  return { ...others, ...override } as T & O;
}

/** Reports a place for nothing. */
export function checkPlaced(
  { look, place, path }: AimPart & { readonly path: string },
  report: Report,
): void {
  if (place === undefined || look !== undefined) return;
  report(
    [...pathOf(path), 'place'],
    'says where in the frame, but not what: add look: and the name of a mark',
  );
}

export const placeOfLook = ({ place }: Pick<Keyframe, 'place'>): Place => place ?? CENTRE;
