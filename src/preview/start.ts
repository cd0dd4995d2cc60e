import { basename, extname, resolve } from 'node:path';
import { starterScene } from '../scene/starter.js';
import { freeName } from './disk.js';

export interface Start {
  /** Absolute path of the scene file; it need not be there yet. */
  readonly file: string;
  /** Its text; undefined when it is to be read from the file. */
  readonly starter?: string;
}

/** A scene for a master that has none yet, beside it. */
export async function starterFor(master: string): Promise<Start> {
  const file = await freeName(resolve(master), '', '.yaml');
  const name = basename(file, extname(file));
  return { file, starter: starterScene(name, basename(master)) };
}
