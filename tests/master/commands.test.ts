import { execFileSync } from 'node:child_process';
import { expect, it } from 'vitest';
import { completeCommand, markCommand, quoted } from '../../src/master/commands.js';

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

it
  .runIf(process.platform !== 'win32')
  .each([
    'a.jpg',
    'my sphere.jpg',
    '-a.jpg',
    'a $HOME `b`.jpg',
    "it's $5!.jpg",
    'say "lake".jpg',
    'back\\slash.jpg',
  ])('a shell takes %s for one file, as it is', (name) => {
  const words = execFileSync('sh', ['-c', `printf '%s\\n' ${quoted(name)}`], { encoding: 'utf8' });
  expect(words).toBe(name.startsWith('-') ? `./${name}\n` : `${name}\n`);
});
