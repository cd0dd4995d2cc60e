import type { MasterFacts } from '../scene/direction.js';
import { loadScene, type OnFile } from '../scene/load.js';
import { withFps, withShapes } from '../scene/retarget.js';
import type { Sequence } from '../scene/types.js';

interface Instead {
  readonly shape?: readonly string[];
  readonly fps?: number | undefined;
  /** Told of each file that the scene is made of, before it is read. */
  readonly onFile?: OnFile | undefined;
}

/** The scene file with what the command line says instead. @throws InputError */
export async function openScene(
  file: string,
  { shape = [], fps, onFile }: Instead,
): Promise<Sequence> {
  const scene = await loadScene(file, factsOf, onFile);
  for (const overlay of scene.shots.flatMap(({ overlays }) => overlays)) {
    const file = overlay.kind === 'image' ? overlay.image : overlay.font;
    if (file !== undefined) onFile?.(file);
  }
  const shaped = shape.length > 0 ? withShapes(scene, shape) : scene;
  return fps === undefined ? shaped : withFps(shaped, fps);
}

/** What a master's own metadata state. Loaded only when a scene asks for it. */
async function factsOf(master: string): Promise<MasterFacts> {
  const { statedHeading } = await import('../master/level/pose.js');
  return statedHeading(master);
}
