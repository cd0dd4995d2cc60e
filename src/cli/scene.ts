import type { MasterFacts } from '../scene/direction.js';
import { loadScene } from '../scene/load.js';
import { withFps, withShapes } from '../scene/retarget.js';
import type { Sequence } from '../scene/types.js';

/** The scene file with what the command line says instead. @throws InputError */
export async function openScene(
  file: string,
  { shape = [], fps }: { readonly shape?: readonly string[]; readonly fps?: number | undefined },
): Promise<Sequence> {
  const scene = await loadScene(file, factsOf);
  const shaped = shape.length > 0 ? withShapes(scene, shape) : scene;
  return fps === undefined ? shaped : withFps(shaped, fps);
}

/** What a master's own metadata state. Loaded only when a scene asks for it. */
async function factsOf(master: string): Promise<MasterFacts> {
  const { claimedPose } = await import('../master/level/pose.js');
  const { heading } = (await claimedPose(master)).pose;
  return heading === undefined ? {} : { heading };
}
