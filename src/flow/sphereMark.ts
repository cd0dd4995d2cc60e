import { SOURCE } from '../encode/spherical.js';
import type { Still } from '../encode/still.js';
import { isSphere } from '../scene/shapes.js';
import type { Output } from '../scene/types.js';

/** Has a still of the whole sphere say that it is one, as `orbreel master mark` does; a flat one says nothing. */
export const sphereMark = ({ shape }: Pick<Output, 'shape'>): Pick<Still, 'mark'> =>
  isSphere(shape) ? { mark: markSphere } : {};

async function markSphere(file: string): Promise<void> {
  const { markMaster } = await import('../master/mark.js');
  await markMaster({ input: file, overwrite: true, software: SOURCE });
}
