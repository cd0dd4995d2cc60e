import type { Move } from '../../moves/types.js';
import { parseScene } from '../parse.js';
import { sequenceOf } from '../sequence.js';
import type { Sequence } from '../types.js';

/** Each move by itself, as it is without a word about it, one shot after the other. */
export function starterSequence(
  moves: readonly Move[],
  master: string,
  { width, height }: { readonly width: number; readonly height: number } = {
    width: 1080,
    height: 1920,
  },
): Sequence {
  const shots = moves.map(({ name }) => {
    const fields = {
      ...{ master, background: 'blur', outputs: [`${width}x${height}`] },
      moves: [name],
    };
    return parseScene(JSON.stringify(fields), `${name}.json`);
  });
  return sequenceOf(
    'moves.json',
    shots,
    shots.slice(1).map(() => ({ kind: 'cut' })),
  );
}
