import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';

/**
 * Gives back the memory of arrays that nothing uses any more. Left alone, Node.js does so when it happens to look,
 * which may be after the encoder has taken as much again.
 */
export function freeUnused(): void {
  setFlagsFromString('--expose-gc');
  const collect: unknown = runInNewContext('gc');
  setFlagsFromString('--no-expose-gc');
  if (typeof collect === 'function') collect();
}
