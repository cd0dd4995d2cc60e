import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { projectionNames } from '../../src/projection/index.js';
import { layOut } from '../../src/render/atlas.js';
import { type GlContext, openContext } from '../../src/render/context.js';
import { SAMPLING, texelsBeforeShrinking } from '../../src/render/quality.js';
import { edge, partsOf } from '../../src/render/regions.js';
import { directionAt, distance } from '../../src/render/resolution.js';
import { createSurveyor } from '../../src/render/survey.js';
import { as, BLACK, drawFrame, upload } from '../support/gpu.js';
import { photo } from '../support/photos.js';
import { psnr } from '../support/reference.js';
import { cameraFor } from '../support/scenes.js';
import { AIMS, FOVS } from './views.js';

const { tolerance, cubic, mesh } = SAMPLING.draft;

describe('a mesh in place of smooth parts', () => {
  const [width, height] = [720, 960];
  const layout = layOut(4096, 2048, 16384, 14)!;
  const survey = createSurveyor(width, height);

  /** Radians between a direction and what lies between three corners' places on the master. */
  const placeAt = (camera: ReturnType<typeof cameraFor>, x: number, y: number) => {
    const [a, b, c] = directionAt(camera, (2 * x) / width - 1, 1 - (2 * y) / height);
    return [Math.atan2(a, -c), Math.atan2(b, Math.hypot(a, c))] as const;
  };
  const directionOf = (longitude: number, latitude: number) =>
    [
      Math.sin(longitude) * Math.cos(latitude),
      Math.sin(latitude),
      -Math.cos(longitude) * Math.cos(latitude),
    ] as const;

  it.each(projectionNames)('is nowhere off by more than it may be, in %s', (projection) => {
    let meshed = 0;
    let worst = 0;
    for (const fov of FOVS[projection]!) {
      for (const aim of AIMS) {
        const camera = cameraFor({ projection, fov, ...aim }, width, height);
        const seen = survey(camera);
        const sorting = { unshrunk: texelsBeforeShrinking(1, 1), cubic, tolerance, mesh };
        const { columns, rows } = seen;
        for (const { blocks, cells } of partsOf(camera, seen, width, height, layout, sorting)
          .patches) {
          for (const block of blocks) {
            meshed++;
            const x = edge(block % columns, columns, width);
            const y = edge(Math.floor(block / columns), rows, height);
            const w = (edge((block % columns) + 1, columns, width) - x) / cells;
            const h = (edge(Math.floor(block / columns) + 1, rows, height) - y) / cells;
            // The middle of the long side of every cell's two triangles, where they are off most.
            for (let cell = 0; cell < cells * cells; cell++) {
              const left = x + (cell % cells) * w;
              const top = y + Math.floor(cell / cells) * h;
              const one = placeAt(camera, left + w, top);
              const two = placeAt(camera, left, top + h);
              const between = directionOf((one[0] + two[0]) / 2, (one[1] + two[1]) / 2);
              const there = directionOf(...placeAt(camera, left + w / 2, top + h / 2));
              worst = Math.max(worst, distance(between, there) * seen.finer[block]!);
            }
          }
        }
      }
    }
    expect(meshed).toBeGreaterThan(20);
    expect(worst).toBeGreaterThan(0);
    // Second differences over half a block stand for what happens within it: somewhat more may come out.
    expect(worst).toBeLessThan(1.6 * tolerance);
  });
});

describe('frames drawn by a mesh', () => {
  let context: GlContext;
  beforeAll(async () => {
    context = await openContext();
  });
  afterAll(() => context.close());

  it.each(['rectilinear', 'stereographic', 'equirectangular'])(
    'show what every pixel by itself would, in %s',
    async (projection) => {
      const [width, height] = [480, 320];
      const texture = upload(context, await photo('park'));
      const camera = cameraFor({ projection, fov: 60, yaw: 30, pitch: -20 }, width, height);
      const options = { width, height, background: BLACK, quality: 'draft' } as const;
      const inMesh = drawFrame(as('software', context), texture, camera, options);
      const alone = drawFrame(as('graphics card', context), texture, camera, options);
      texture.destroy();
      expect(inMesh).not.toEqual(alone);
      expect(psnr(inMesh, alone)).toBeGreaterThan(45);
    },
  );
});
