import { open } from 'node:fs/promises';
import { extname } from 'node:path';
import { InputError } from '../errors.js';

const SCENE_ENDINGS = ['.yaml', '.yml', '.json'];

/**
 * Whether a file that may be a scene or a master is a scene, by its name or else because it is text: no
 * picture begins with printable text only.
 *
 * @throws InputError when there is no such file
 */
export async function isSceneFile(file: string): Promise<boolean> {
  const handle = await open(file).catch(() => undefined);
  if (handle === undefined) {
    throw new InputError([{ place: file, path: '', message: 'there is no such file' }]);
  }
  try {
    if (SCENE_ENDINGS.includes(extname(file).toLowerCase())) return true;
    if ((await handle.stat()).isDirectory()) return false;
    const { buffer, bytesRead } = await handle.read(Buffer.alloc(512), 0, 512, 0);
    const start = buffer.subarray(0, bytesRead);
    const isRadiance = start.subarray(0, 2).equals(Buffer.from('#?'));
    return !isRadiance && !start.some((byte) => byte < 9 || byte > 126);
  } finally {
    await handle.close();
  }
}
