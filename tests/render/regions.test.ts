import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Camera } from '../../src/camera/types.js';
import { projectionNames } from '../../src/projection/index.js';
import type { Ray } from '../../src/projection/types.js';
import { layOut } from '../../src/render/atlas.js';
import { type GlContext, openContext } from '../../src/render/context.js';
import type { MasterTexture } from '../../src/render/masterTexture.js';
import { SAMPLING, texelsBeforeShrinking } from '../../src/render/quality.js';
import { partsOf } from '../../src/render/regions.js';
import { directionAt, distance } from '../../src/render/resolution.js';
import { createSurveyor } from '../../src/render/survey.js';
import { randoms } from '../projection/support.js';
import { as, BLACK, drawAlone, drawFrame, upload, WAYS } from '../support/gpu.js';
import { psnr } from '../support/reference.js';
import { cameraFor } from '../support/scenes.js';
import { valley } from '../support/valley.js';
import { AIMS, FOVS } from './views.js';

const [width, height] = [720, 960];
/** Small enough to be magnified, large enough to be shrunk. */
const MASTERS = [1024, 2048, 4096].map((side) => layOut(side, side / 2, 16384, 14)!);
const surveyor = createSurveyor(width, height);

/** Where pixels look that are picked at random from all regions, each with its region. */
function* picked(projection: string) {
  const next = randoms(7);
  const unshrunk = texelsBeforeShrinking(2, 1);
  for (const fov of FOVS[projection]!) {
    for (const aim of AIMS) {
      const camera = cameraFor({ projection, fov, ...aim }, width, height);
      const survey = surveyor(camera);
      const sorting = { ...SAMPLING.final, unshrunk };
      for (const master of MASTERS) {
        const { regions, patches } = partsOf(camera, survey, width, height, master, sorting);
        expect(patches).toEqual([]);
        for (const region of regions) {
          for (let i = 0; i < 40; i++) {
            const x = region.x + Math.floor(next() * region.width) + 0.5;
            const y = region.y + Math.floor(next() * region.height) + 0.5;
            yield { camera, master, region, x, y };
          }
        }
      }
    }
  }
}

const look = (camera: Camera, x: number, y: number): Ray =>
  directionAt(camera, (2 * x) / width - 1, 1 - (2 * y) / height);

const cross = (a: Ray, b: Ray): Ray => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];

/** Radians that a pixel is wide, as the shaders take it. */
function widthAt(camera: Camera, x: number, y: number): number {
  const [here, right, down] = [look(camera, x, y), look(camera, x + 1, y), look(camera, x, y + 1)];
  const from = (there: Ray): Ray => [there[0] - here[0], there[1] - here[1], there[2] - here[2]];
  const area = Math.hypot(...cross(from(right), from(down)));
  const sides = [distance(here, right), distance(here, down)];
  return Math.max(Math.sqrt(area), 0.5 * Math.max(...sides));
}

/** Codes of 255 by which a pixel may differ, and dB by which a frame must agree. A card steps nearer to the poles. */
const BOUNDS = {
  software: { most: 2, least: 65 },
  'graphics card': { most: 5, least: 60 },
};

describe('regions of a frame', () => {
  it.each(projectionNames)('miss no pixel that needs more, in %s', (projection) => {
    let [needing, spared] = [0, 0];
    for (const { camera, master, region, x, y } of picked(projection)) {
      const texels = (widthAt(camera, x, y) * master.height) / Math.PI;
      // Lookups of `final` lie half a pixel apart and stand for 0.8 of that.
      if (texels < 1) expect(region.magnified, `${texels} texels`).toBe(true);
      // Lookups of `final` lie half a pixel apart and stand for 0.8 of that.
      if (0.4 * texels > 1) expect(region.minified, `${texels} texels`).toBe(true);
      if (texels < 1 || 0.4 * texels > 1) needing++;
      else if (!region.magnified && !region.minified) spared++;
    }
    expect(Math.min(needing, spared)).toBeGreaterThan(100);
  });

  const place = (camera: Camera, x: number, y: number) => {
    const [a, b, c] = look(camera, x, y);
    return [Math.atan2(a, -c), Math.atan2(b, Math.hypot(a, c))] as const;
  };
  const directionOf = (longitude: number, latitude: number): Ray => [
    Math.sin(longitude) * Math.cos(latitude),
    Math.sin(latitude),
    -Math.cos(longitude) * Math.cos(latitude),
  ];

  it.each(projectionNames)(
    'tell rays from their middle only where that is right, in %s',
    (name) => {
      let smooth = 0;
      let worst = 0;
      for (const { camera, region, x, y } of picked(name)) {
        if (!region.smooth) continue;
        smooth++;
        const middle = place(camera, x, y);
        const pixel = distance(look(camera, x, y), look(camera, x + 1, y));
        // Its neighbours on either side: the shader takes whichever comes in pairs with it.
        for (const [i, j] of [
          [1, 1],
          [-1, 1],
          [1, -1],
          [-1, -1],
        ] as const) {
          const right = place(camera, x + i, y);
          const down = place(camera, x, y + j);
          const told = (k: 0 | 1) =>
            middle[k] + 0.5 * (right[k] - middle[k]) + 0.5 * (down[k] - middle[k]);
          const truly = look(camera, x + 0.5 * i, y + 0.5 * j);
          worst = Math.max(worst, distance(directionOf(told(0), told(1)), truly) / pixel);
          // And on away from them.
          const away = (k: 0 | 1) =>
            middle[k] - 0.5 * (right[k] - middle[k]) - 0.5 * (down[k] - middle[k]);
          const beyond = look(camera, x - 0.5 * i, y - 0.5 * j);
          worst = Math.max(worst, distance(directionOf(away(0), away(1)), beyond) / pixel);
        }
      }
      expect(smooth).toBeGreaterThan(100);
      expect(worst).toBeGreaterThan(0);
      expect(worst).toBeLessThan(SAMPLING.final.tolerance);
    },
  );
});

describe('final frames whose rays are stepped from a middle', () => {
  let context: GlContext;
  let texture: MasterTexture;
  beforeAll(async () => {
    context = await openContext();
    texture = upload(context, await valley(2048));
  });
  afterAll(() => context.close());

  describe.each(WAYS)('by %s', (way) => {
    it.each(projectionNames)('show what every ray alone would, in %s', (projection) => {
      const [width, height] = [480, 320];
      const options = { width, height, background: BLACK, quality: 'final' } as const;
      let changed = 0;
      for (const fov of FOVS[projection]!) {
        for (const aim of AIMS) {
          const camera = cameraFor({ projection, fov, ...aim }, width, height);
          const stepped = drawFrame(as(way, context), texture, camera, options);
          const alone = drawAlone(context, texture, camera, options);
          const apart = stepped.map((value, at) => Math.abs(value - alone[at]!)).toSorted();
          if (apart.at(-1)! > 0) changed++;
          expect(apart.at(-1), `${fov} ${aim.pitch}`).toBeLessThanOrEqual(BOUNDS[way].most);
          expect(psnr(stepped, alone)).toBeGreaterThan(BOUNDS[way].least);
        }
      }
      expect(changed).toBeGreaterThan(0);
    });
  });
});
