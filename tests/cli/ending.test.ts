import { CommanderError } from 'commander';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { endingOf } from '../../src/cli/ending.js';
import { InputError, Interrupted, WorkError } from '../../src/errors.js';

describe('how the program ends', () => {
  afterEach(() => void vi.unstubAllEnvs());

  it.each([
    [
      new InputError([
        { place: 'a.yaml:2:1', path: 'fps', message: 'takes a number' },
        { place: '', path: '--fps', message: 'takes a number' },
      ]),
      { code: 2, lines: ['a.yaml:2:1: fps: takes a number\n--fps: takes a number'] },
    ],
    [new WorkError('a.mp4: the disk is full.'), { code: 1, lines: ['a.mp4: the disk is full.'] }],
    [new Interrupted(), { code: 130, lines: ['Interrupted.'] }],
    [
      new TypeError('x is not a function'),
      {
        code: 1,
        lines: [
          'Something unexpected went wrong: x is not a function (ORBREEL_DEBUG=1 shows where).',
        ],
      },
    ],
    [new CommanderError(0, 'commander.version', '0.1.0'), { code: 0, lines: [] }],
  ])('%s', (error, ending) => {
    vi.stubEnv('ORBREEL_DEBUG', '');
    expect(endingOf(error, ['render', 'a.yaml'])).toEqual(ending);
  });

  it('shows the trace when asked', () => {
    vi.stubEnv('ORBREEL_DEBUG', '1');
    const { lines } = endingOf(new WorkError('a.mp4: the disk is full.'), []);
    expect(lines).toHaveLength(2);
    expect(lines[1]).toContain('ending.test.ts');
  });
});
