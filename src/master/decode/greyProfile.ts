import { encodeSrgb } from '../../colour.js';
import { clamp, mix } from '../../math.js';

/**
 * What 16-bit grey codes are in sRGB, by the tone curve of their ICC profile: libvips converts grey of 8 bits
 * only. Undefined where the profile has no curve for grey that can be read.
 *
 * Source: ICC.1:2022, clauses 7.2 (header), 7.3 (tag table), 9.2.41 (grayTRCTag), 10.6 (curveType) and 10.18
 * (parametricCurveType), from memory.
 *
 * @param profile the bytes of the ICC profile
 * @returns the code of each code, 0 to 65535
 */
export function greyCodes(profile: Buffer): Uint16Array | undefined {
  const curve = curveOf(profile);
  if (curve === undefined) return undefined;
  return Uint16Array.from({ length: 65536 }, (_, code) => {
    const light = curve(code / 65535);
    return Math.round(65535 * encodeSrgb(clamp(light, 0, 1)));
  });
}

type Curve = (encoded: number) => number;

function curveOf(profile: Buffer): Curve | undefined {
  try {
    if (profile.toString('latin1', 16, 20) !== 'GRAY') return undefined;
    const count = profile.readUInt32BE(128);
    for (let at = 132; at < 132 + 12 * Math.min(count, 100); at += 12) {
      if (profile.toString('latin1', at, at + 4) !== 'kTRC') continue;
      const from = profile.readUInt32BE(at + 4);
      return readCurve(profile.subarray(from, from + profile.readUInt32BE(at + 8)));
    }
    return undefined;
  } catch (error) {
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}

function readCurve(tag: Buffer): Curve | undefined {
  const type = tag.toString('latin1', 0, 4);
  if (type === 'para') return parametric(tag);
  if (type !== 'curv') return undefined;
  const count = tag.readUInt32BE(8);
  if (count === 0) return (encoded) => encoded;
  if (count === 1) {
    const gamma = tag.readUInt16BE(12) / 256;
    return (encoded) => encoded ** gamma;
  }
  if (tag.length < 12 + 2 * count) return undefined;
  const values = Float64Array.from({ length: count }, (_, i) => tag.readUInt16BE(12 + 2 * i));
  return (encoded) => {
    const place = encoded * (count - 1);
    const step = Math.min(Math.floor(place), count - 2);
    return mix(values[step]!, values[step + 1]!, place - step) / 65535;
  };
}

/** How many parameters each of the five functions has. */
const PARAMETERS = [1, 3, 4, 5, 7];

function parametric(tag: Buffer): Curve | undefined {
  const kind = tag.readUInt16BE(8);
  const many = PARAMETERS[kind];
  if (many === undefined) return undefined;
  const given = Array.from({ length: many }, (_, i) => tag.readInt32BE(12 + 4 * i) / 65536);
  const [g = 1, a = 1, b = 0, c = 0] = given;
  const bent = (encoded: number) => Math.max(0, a * encoded + b) ** g;
  switch (kind) {
    case 0:
      return bent;
    case 1:
      return (encoded) => (encoded >= -b / a ? bent(encoded) : 0);
    case 2:
      return (encoded) => (encoded >= -b / a ? bent(encoded) + c : c);
    default: {
      const [d = 0, e = 0, f = 0] = given.slice(4);
      return (encoded) => (encoded >= d ? bent(encoded) + e : c * encoded + f);
    }
  }
}
