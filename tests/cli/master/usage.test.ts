import { describe, expect, it } from 'vitest';
import { workFolder } from '../support.js';

const COMMANDS = 'inspect complete level mark finish'.split(' ');

describe('orbreel master', () => {
  const folder = workFolder();

  it('--help lists its commands, one line each', async () => {
    const { code, stdout, stderr } = await folder.run(['master', '--help']);
    expect([code, stderr]).toEqual([0, '']);
    const list = stdout.slice(stdout.indexOf('Commands:'), stdout.indexOf('Example'));
    const lines = list.trim().split('\n').slice(1);
    expect(lines.map((line) => line.trim().split(' ')[0])).toEqual([...COMMANDS, 'help']);
  });

  it('alone shows its help, as wrong usage', async () => {
    const { code, stdout, stderr } = await folder.run(['master']);
    expect([code, stdout]).toEqual([2, '']);
    expect(stderr).toMatch(/^Usage: orbreel master \[options\] \[command\]\n/);
  });

  it.each(COMMANDS)('%s --help shows worked examples', async (command) => {
    const { code, stdout, stderr } = await folder.run(['master', command, '--help']);
    expect([code, stderr]).toEqual([0, '']);
    expect(stdout).toMatch(new RegExp(`^Usage: orbreel master ${command} `));
    expect(stdout).toMatch(new RegExp(`\nExamples?:\n  orbreel master ${command} `));
    expect(stdout).toMatch(/\bNot (to|for|when|instead)\b/);
    for (const line of stdout.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
  });

  it.each([
    [
      ['master', 'finsh'],
      "unknown command 'finsh'. Did you mean 'finish'?\n'orbreel master --help' tells how it is used.\n",
    ],
    [
      ['master', 'level', 'a.jpg', '--out', 'b.jpg', '--autoo'],
      "unknown option '--autoo'. Did you mean '--auto'?\n'orbreel master level --help' tells how it is used.\n",
    ],
    [
      ['master', 'complete', 'a.jpg'],
      "required option '--out <file>' not specified\n'orbreel master complete --help' tells how it is used.\n",
    ],
    [
      ['master', 'inspect'],
      "missing required argument 'file'\n'orbreel master inspect --help' tells how it is used.\n",
    ],
  ])('%j is wrong usage', async (words, stderr) => {
    expect(await folder.run(words)).toEqual({ code: 2, stdout: '', stderr });
  });
});
