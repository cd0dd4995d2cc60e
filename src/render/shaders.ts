import { readFileSync } from 'node:fs';
import { WorkError } from '../errors.js';

/** Gives the text of a file in shaders/ by its path there. The browser page has one of its own. */
export type ShaderReader = (name: string) => string;

const FOLDER = new URL('../../shaders/', import.meta.url);

export const readShader: ShaderReader = (name) => {
  try {
    return readFileSync(new URL(name, FOLDER), 'utf8');
  } catch (error) {
    throw new WorkError(
      `The shader ${name} could not be read; the installation is incomplete: ${(error as Error).message}.`,
    );
  }
};
