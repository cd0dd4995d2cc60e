import { spawnSync } from 'node:child_process';
import { extname } from 'node:path';
import { fileURLToPath } from 'node:url';
import { layOut } from '../../render/atlas.js';
import type { GlInfo } from '../../render/context.js';
import type { Check } from './check.js';

const PATIENCE_IN_MS = 90_000;

const REMEDY =
  'Debian, Ubuntu: sudo apt-get install xvfb libgl1 libgl1-mesa-dri libx11-6 libxi6 libxext6';

const THROUGH: Readonly<Record<GlInfo['backend'], () => string>> = {
  vulkan: () => 'Vulkan, which needs no display',
  display: () => `the display ${process.env.DISPLAY}`,
  'own display': () => 'an X server (Xvfb) of its own, started for each run',
  native: () => "the system's own graphics",
};

export type Drawing = { readonly info: GlInfo } | { readonly problem: string };

/** Opens a WebGL context in another process and tells what draws there. */
export function probeDrawing(): Drawing {
  const probe = fileURLToPath(new URL(`probe${extname(import.meta.url)}`, import.meta.url));
  const run = spawnSync(process.execPath, [...process.execArgv, probe], {
    encoding: 'utf8',
    timeout: PATIENCE_IN_MS,
  });
  try {
    return JSON.parse(run.stdout) as Drawing;
  } catch {
    const how = run.signal ? `was ended by ${run.signal}` : `ended with exit status ${run.status}`;
    const words = run.stderr.trim().split('\n').at(-1) ?? '';
    return { problem: `the test drawing ${how}${words === '' ? '' : `: ${words}`}` };
  }
}

export function drawingChecks(drawing: Drawing): Check[] {
  if ('problem' in drawing) {
    const remedy = drawing.problem.includes('apt-get') ? {} : { remedy: REMEDY };
    return [{ what: 'drawing', state: 'missing', found: drawing.problem, ...remedy }];
  }
  const { backend, renderer, software, maxTextureSize, maxTextureUnits } = drawing.info;
  const { width, height } = largestMaster(drawing.info);

  return [
    {
      what: 'drawing',
      state: 'ok',
      found: `${renderer}${software ? ': by the processor, without a graphics card' : ''}`,
    },
    { what: 'through', state: 'ok', found: THROUGH[backend]() },
    {
      what: 'largest texture',
      state: 'ok',
      found: `${maxTextureSize}x${maxTextureSize}, ${maxTextureUnits} at a time`,
    },
    {
      what: 'largest master',
      state: 'ok',
      found: `${width}x${height} (${Math.round((width * height) / 1e6)} megapixels)`,
    },
  ];
}

/** The largest master that the device holds, in texels, to 16 rows. */
export function largestMaster({
  maxTextureSize,
  maxTextureUnits,
}: Pick<GlInfo, 'maxTextureSize' | 'maxTextureUnits'>) {
  // One unit serves the blurred background.
  const fits = (height: number) =>
    layOut(2 * height, height, maxTextureSize, maxTextureUnits - 1) !== undefined;
  let [low, high] = [0, maxTextureSize * maxTextureUnits];
  while (high - low > 16) {
    const middle = 16 * Math.floor((low + high) / 32);
    if (middle > low && fits(middle)) low = middle;
    else high = middle;
  }
  return { width: 2 * low, height: low };
}
