import { open } from 'node:fs/promises';
import { extname } from 'node:path';
import { InputError } from '../errors.js';
import { checkMaster } from '../master/open.js';
import { isVideo } from '../master/video/kind.js';
import { loadScene } from '../scene/load.js';
import { readText } from './disk.js';
import { Session } from './session.js';
import { starterFor } from './start.js';

const SCENE_ENDINGS = ['.yaml', '.yml', '.json'];

/**
 * A session for a scene file, also one with mistakes, or for a master that has no scene yet.
 *
 * @param file absolute path
 * @throws InputError when it is neither
 */
export async function openSession(file: string): Promise<Session> {
  const isScene = SCENE_ENDINGS.includes(extname(file).toLowerCase()) || (await isText(file));
  if (!isScene) {
    if (!(await isVideo(file))) await checkMaster(file);
    return Session.open(await starterFor(file));
  }
  // What cannot be read at all is told here, in the words that other commands use.
  if ((await readText(file)) === undefined) await loadScene(file);
  return Session.open({ file });
}

/** No picture begins with printable text only. */
async function isText(file: string): Promise<boolean> {
  const handle = await open(file).catch(() => undefined);
  if (handle === undefined) {
    throw new InputError([{ place: file, path: '', message: 'there is no such file' }]);
  }
  try {
    const { buffer, bytesRead } = await handle.read(Buffer.alloc(512), 0, 512, 0);
    const start = buffer.subarray(0, bytesRead);
    return (
      !start.subarray(0, 2).equals(Buffer.from('#?')) &&
      !start.some((byte) => byte < 9 || byte > 126)
    );
  } finally {
    await handle.close();
  }
}
