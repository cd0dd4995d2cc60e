import { html, svg, type TemplateResult } from 'lit';
import { radians } from '../../math.js';
import { findProjection } from '../../projection/index.js';
import { OUTSIDE, type Ray } from '../../projection/types.js';

/** How wide each projection's picture is taken for its sign, in degrees along the shorter side. */
const SPAN: Readonly<Record<string, number>> = {
  rectilinear: 110,
  stereographic: 250,
  panini: 150,
  cylindrical: 200,
  orthographic: 180,
};
/** Degrees that the sign looks down, so that a horizon shows. */
const TILT = 24;
const HALF = 15;

/** The sign of a projection: meridians and parallels as it draws them. */
export function sign(name: string): TemplateResult {
  const projection = findProjection(name);
  if (projection === undefined) return html``;
  const params = Object.fromEntries(projection.params.map((info) => [info.name, info.default]));
  const span = SPAN[name] ?? 360;
  const scale = HALF / projection.extent('horizontal', radians(span) / 2 - 1e-6, params);
  const isWide = name === 'equirectangular';
  const tilt = radians(isWide ? 0 : TILT);
  const place = (lon: number, lat: number): string | undefined => {
    const [l, b] = [radians(lon), radians(lat)];
    const [x, y, z] = [Math.sin(l) * Math.cos(b), Math.sin(b), -Math.cos(l) * Math.cos(b)];
    const ray: Ray = [
      x,
      y * Math.cos(tilt) - z * Math.sin(tilt),
      y * Math.sin(tilt) + z * Math.cos(tilt),
    ];
    const at = projection.toPlane(ray, params);
    if (at === OUTSIDE || Math.hypot(...at) * scale > 60) return undefined;
    return `${(16 + at[0] * scale).toFixed(1)} ${(16 - at[1] * scale).toFixed(1)}`;
  };
  const line = (points: readonly (string | undefined)[]): string => {
    let path = '';
    let before: readonly number[] | undefined;
    for (const point of points) {
      const now = point?.split(' ').map(Number);
      const jumps = before && now && Math.hypot(now[0]! - before[0]!, now[1]! - before[1]!) > 12;
      if (point !== undefined) path += `${before && !jumps ? 'L' : 'M'}${point}`;
      before = now;
    }
    return path;
  };
  const steps = (from: number, to: number, by: number) =>
    Array.from({ length: Math.round((to - from) / by) + 1 }, (_, i) => from + i * by);
  const meridians = steps(-180, 150, 30).map((lon) =>
    line(steps(-88, 88, 4).map((lat) => place(lon, lat))),
  );
  const parallels = steps(-60, 60, 30).map((lat) =>
    line(steps(-180, 180, 4).map((lon) => place(lon, lat))),
  );
  const edge = ['mirror-ball', 'equidistant', 'equal-area', 'orthographic'].includes(name)
    ? svg`<circle cx="16" cy="16" r="15" />`
    : svg`<rect x="1" y=${isWide ? 8.5 : 1} width="30" height=${isWide ? 15 : 30} rx="2" />`;
  return html`<svg class="sign" viewBox="0 0 32 32" aria-hidden="true" focusable="false">
    <path d=${[...meridians, ...parallels].join('')} class="sign-lines" />
    <path d=${line(steps(-180, 180, 4).map((lon) => place(lon, 0)))} class="sign-horizon" />
    ${edge}
  </svg>`;
}
