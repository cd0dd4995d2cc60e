import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { moveNames, moves } from '../../src/moves/index.js';
import { workFolder } from './support.js';

describe('orbreel moves', () => {
  const folder = workFolder();

  it('tells of every move what it is good for, how it begins and ends, and its parameters', async () => {
    const { code, stdout, stderr } = await folder.run(['moves']);
    expect([code, stderr]).toEqual([0, '']);
    const blocks = stdout.trimEnd().split('\n\n');
    expect(blocks).toHaveLength(moves.length);
    for (const [index, { name, title, goodFor, params }] of moves.entries()) {
      const lines = blocks[index]!.split('\n');
      expect(lines[0]).toBe(`${name}  ${title}`);
      expect(lines[1]).toMatch(/^ {2}good for +/u);
      expect(lines[1]).toContain(goodFor);
      expect(lines).toHaveLength(5 + Object.keys(params).length);
    }
    expect(stdout).toContain('  turns        how far it turns; from 0.05 to 10 turns, default 1\n');
  });

  it('tells of some, for programs too', async () => {
    const { code, stdout } = await folder.run(['moves', 'hold', 'push-in', '--json']);
    expect(code).toBe(0);
    const [pushIn, hold, ...more] = JSON.parse(stdout);
    expect(more).toEqual([]);
    expect(hold).toMatchObject({ name: 'hold', seconds: 2 });
    expect(pushIn).toMatchObject({ name: 'push-in', begins: 'any view', seconds: 7 });
    expect(pushIn.params.find(({ name }: { name: string }) => name === 'fov')).toEqual({
      ...{ name: 'fov', kind: 'number', unit: 'degrees', min: 10, max: 120, default: 36 },
      about: 'of the view at the end',
    });
  });

  it('draws a strip of each, and replaces none unasked', async () => {
    const words = ['moves', 'hold', 'tilt-up', '--pictures', 'strips', '--master', 'master.png'];
    const { code, stdout } = await folder.run([...words, '--quiet']);
    expect([code, stdout]).toEqual([0, '']);
    const { data, info } = await sharp(folder.file('strips/hold.webp'))
      .raw()
      .toBuffer({ resolveWithObject: true });
    // Six of 150 pixels with gaps of 4; nothing moves, so all are alike.
    expect(info).toMatchObject({ width: 920, height: 200, channels: 4 });
    const at = (x: number, y: number) => [
      ...data.subarray((y * 920 + x) * 4, (y * 920 + x) * 4 + 4),
    ];
    expect(at(151, 100)[3]).toBe(0);
    for (let picture = 1; picture < 6; picture++) {
      for (const [channel, value] of at(75 + 154 * picture, 100).entries()) {
        expect(Math.abs(value - at(75, 100)[channel]!)).toBeLessThan(12);
      }
    }
    const again = await folder.run(words);
    expect(again.code).toBe(2);
    expect(again.stderr).toContain('strips/hold.webp: already exists');
  });

  it.each([
    [
      ['moves', 'pushin'],
      `NAMES: takes moves: ${moveNames.slice(0, -1).join(', ')} or hold, found 'pushin'. Did you mean 'push-in'?\n`,
    ],
    [
      ['moves', '--master', 'master.png'],
      '--master: goes with --pictures, which names a folder for them\n',
    ],
    [
      ['new', 'intro', '--master', 'master.png', '--move', 'spin'],
      `--move: takes a move: ${moveNames.slice(0, -1).join(', ')} or hold, found 'spin'\n`,
    ],
  ])('%j is wrong input', async (words, stderr) => {
    expect(await folder.run(words)).toEqual({ code: 2, stdout: '', stderr });
    expect(await folder.names()).toEqual(['master.png']);
  });

  it('begins a scene, whose keyframes check --expand shows', async () => {
    const made = await folder.run(['new', 'a', '--master', 'master.png', '--move', 'tilt-up']);
    expect([made.code, made.stderr]).toEqual([0, '']);
    expect(await folder.read('a.yaml')).toContain('  - move: tilt-up\n    for: 7 # seconds\n');
    expect(await folder.run(['check', 'a.yaml', '--expand'])).toEqual({
      code: 0,
      stderr: '',
      stdout: `duration: 7
keyframes:
  - { at: 0, yaw: 0, pitch: -72, roll: 0, fov: 86, projection: rectilinear, ease: "cubic-bezier(0.5, 0, 0.3, 1)" }
  - { at: 7, yaw: 0, pitch: 3, roll: 0, fov: 70, projection: rectilinear, ease: ease-in-out }
`,
    });
    const { stdout } = await folder.run(['check', 'a.yaml', '--expand', '--json']);
    expect(JSON.parse(stdout)).toMatchObject([{ duration: 7, keyframes: [{ at: 0 }, { at: 7 }] }]);
  });
});
