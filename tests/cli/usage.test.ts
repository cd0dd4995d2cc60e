import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { commandOf, orbreel, projectFolder, workFolder } from './support.js';

const COMMANDS = 'render still check master new projections schema doctor cache demo'.split(' ');

describe('the command line', () => {
  const folder = workFolder();

  it('prints the version of package.json', async () => {
    const { version } = JSON.parse(readFileSync(`${projectFolder}/package.json`, 'utf8'));
    expect(await folder.run(['--version'])).toEqual({
      code: 0,
      stdout: `${version}\n`,
      stderr: '',
    });
  });

  it('is installed under the name orbreel', () => {
    const { bin } = JSON.parse(readFileSync(`${projectFolder}/package.json`, 'utf8'));
    expect(bin).toEqual({ orbreel: 'dist/cli/main.js' });
    expect(readFileSync(`${projectFolder}/src/cli/main.ts`, 'utf8')).toMatch(
      /^#!\/usr\/bin\/env node\n/,
    );
  });

  it('shows its help when no command is given, as wrong usage', async () => {
    const { code, stdout, stderr } = await folder.run([]);
    expect([code, stdout]).toEqual([2, '']);
    expect(stderr).toMatch(/^Usage: orbreel \[options\] \[command\]\n/);
    for (const command of COMMANDS) expect(stderr).toContain(`\n  ${command} `);
  });

  it.each(COMMANDS)('%s --help shows a worked example', async (command) => {
    const { code, stdout, stderr } = await folder.run([command, '--help']);
    expect([code, stderr]).toEqual([0, '']);
    expect(stdout).toMatch(new RegExp(`^Usage: orbreel ${command}`));
    expect(stdout).toMatch(new RegExp(`\nExamples?:\n  orbreel ${command}`));
    expect(stdout).not.toContain('\u001b');
    for (const line of stdout.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
  });

  it.each([
    [
      ['rendr'],
      "unknown command 'rendr'. Did you mean 'render'?\n'orbreel --help' tells how it is used.\n",
    ],
    [
      ['render', 'a.yaml', '--shpae', 'square'],
      "unknown option '--shpae'. Did you mean '--shape'?\n'orbreel render --help' tells how it is used.\n",
    ],
    [
      ['render'],
      "missing required argument 'scene'\n'orbreel render --help' tells how it is used.\n",
    ],
    [
      ['still', 'a.yaml'],
      "required option '--at <time>' not specified\n'orbreel still --help' tells how it is used.\n",
    ],
    [
      ['new', 'intro'],
      "required option '--master <file>' not specified\n'orbreel new --help' tells how it is used.\n",
    ],
    [
      ['render', 'a.yaml', '--out'],
      "option '--out <file>' argument missing\n'orbreel render --help' tells how it is used.\n",
    ],
    [
      ['check', 'a.yaml', 'b.yaml'],
      "too many arguments for 'check'. Expected 1 argument but got 2.\n'orbreel check --help' tells how it is used.\n",
    ],
  ])('%j is wrong usage', async (words, stderr) => {
    expect(await folder.run(words)).toEqual({ code: 2, stdout: '', stderr });
  });

  it('is quiet when its reader has gone', async () => {
    const line = commandOf()
      .map((word) => `'${word}'`)
      .join(' ');
    const command = ['bash', '-c', `set -o pipefail; ${line} schema | true`];
    expect(await orbreel(folder.path, [], { command })).toEqual({
      code: 0,
      stdout: '',
      stderr: '',
    });
  });
});
