import { expect, it } from 'vitest';
import { completeCommand, markCommand } from '../../src/master/commands.js';

it('say all that they need to run as printed, capitals aside', () => {
  expect(markCommand('a.jpg')).toBe('orbreel master mark a.jpg --overwrite');
  expect(markCommand('my sphere.jpg', '--flat')).toBe(
    'orbreel master mark "my sphere.jpg" --flat --overwrite',
  );
  expect(completeCommand('a.jpg')).toBe('orbreel master complete a.jpg --out FILE');
  expect(completeCommand('a.jpg', '--top DEG')).toBe(
    'orbreel master complete a.jpg --top DEG --out FILE',
  );
});
