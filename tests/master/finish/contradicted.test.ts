import { describe, expect, it, vi } from 'vitest';
import { describeFinish, finishMaster } from '../../../src/master/finish.js';
import type { HorizonEstimate } from '../../../src/master/level.js';
import { paint, valley } from '../mark/pictures.js';
import { ownFolder } from './support.js';

/** One that finds the same lean whatever it is shown. */
const stubborn: HorizonEstimate = {
  pitch: 3,
  roll: 0,
  tilt: 3,
  axis: 0,
  confidence: 0.9,
  sure: true,
  method: 'horizon',
  reason: 'The horizon was found.',
};

vi.mock('../../../src/master/level/reduced.js', () => ({ findHorizon: async () => stubborn }));

describe('finishing by an estimate that its own correction does not satisfy', () => {
  const at = ownFolder();

  it('leaves the lean alone, says so, and so changes nothing the second time', async () => {
    await paint(512, 256, valley).png().toFile(at('valley.png'));
    const first = await finishMaster({ input: at('valley.png'), output: at('a.png') });
    expect(first).toMatchObject({ redrawn: false, levelled: { status: 'contradicted' } });
    expect(describeFinish(first)).toContain(
      'level     left alone: what was found (pitch 3.0°, roll 0.0°) did not hold when it was turned',
    );
    const second = await finishMaster({ input: at('a.png'), output: at('b.png') });
    expect(second.changed).toBe(false);
  });
});
