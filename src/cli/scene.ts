import { loadScene } from '../scene/load.js';
import { withFps, withShapes } from '../scene/retarget.js';
import type { Sequence } from '../scene/types.js';

/** The scene file with what the command line says instead. @throws InputError */
export async function openScene(
  file: string,
  { shape = [], fps }: { readonly shape?: readonly string[]; readonly fps?: number | undefined },
): Promise<Sequence> {
  const scene = await loadScene(file);
  const shaped = shape.length > 0 ? withShapes(scene, shape) : scene;
  return fps === undefined ? shaped : withFps(shaped, fps);
}
