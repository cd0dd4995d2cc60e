import { checkMaster } from '../master/open.js';
import { isVideo } from '../master/video/kind.js';
import { isSceneFile } from '../scene/kind.js';
import { loadScene } from '../scene/load.js';
import { readText } from './disk.js';
import { Session } from './session.js';
import { starterFor } from './start.js';

/**
 * A session for a scene file, also one with mistakes, or for a master that has no scene yet.
 *
 * @param file absolute path
 * @throws InputError when it is neither
 */
export async function openSession(file: string): Promise<Session> {
  if (!(await isSceneFile(file))) {
    if (!(await isVideo(file))) await checkMaster(file);
    return Session.open(await starterFor(file));
  }
  // What cannot be read at all is told here, in the words that other commands use.
  if ((await readText(file)) === undefined) await loadScene(file);
  return Session.open({ file });
}
