import { mkdir, readFile, writeFile } from 'node:fs/promises';
import { describe, expect, it } from 'vitest';
import { workFolder } from './support.js';

describe('orbreel new', () => {
  const folder = workFolder();

  it('writes a scene that is right as it is, and says what comes next', async () => {
    expect(await folder.run(['new', 'intro', '--master', 'master.png'])).toEqual({
      code: 0,
      stderr: '',
      stdout: `Wrote intro.yaml. Next:
  orbreel check intro.yaml           what is in it
  orbreel still intro.yaml --at 2    one frame of it
  orbreel render intro.yaml          the clip
`,
    });
    expect(await folder.names()).toEqual(['intro.yaml', 'master.png']);
    const ended = await folder.run(['check', 'intro.yaml', '--quiet']);
    expect(ended).toEqual({ code: 0, stdout: '', stderr: '' });
  });

  it("names the master from the scene's folder", async () => {
    await mkdir(folder.file('scenes'));
    const ended = await folder.run(['new', 'scenes/a.yml', '--master', 'master.png', '--quiet']);
    expect(ended).toEqual({ code: 0, stdout: '', stderr: '' });
    expect(await folder.read('scenes/a.yml')).toMatch(/^master: \.\.\/master\.png$/m);
  });

  it('replaces a scene only with --overwrite', async () => {
    await folder.write('intro.yaml', 'mine');
    expect(await folder.run(['new', 'intro', '--master', 'master.png'])).toEqual({
      code: 2,
      stdout: '',
      stderr:
        'intro.yaml: already exists: choose another name, or add --overwrite to replace it.\n',
    });
    expect(await folder.read('intro.yaml')).toBe('mine');
    const ended = await folder.run(['new', 'intro', '--master', 'master.png', '--overwrite']);
    expect(ended.code).toBe(0);
    expect(await folder.read('intro.yaml')).toContain('master: master.png');
  });

  it.each([
    [
      ['intro', '--master', 'none.png'],
      'none.png: expected the master, a picture file; there is no such file\n',
    ],
    [
      ['a/intro', '--master', 'master.png'],
      'a/intro.yaml: the folder a does not exist: make it first, or choose another.\n',
    ],
    [
      ['intro.json', '--master', 'master.png'],
      "NAME: a starter scene is YAML, for its comments: leave .json out of 'intro.json'\n",
    ],
    [
      ['here/', '--master', 'master.png'],
      "NAME: takes a scene's name such as intro, found 'here/'\n",
    ],
  ])('%j is wrong input and leaves nothing', async (words, stderr) => {
    expect(await folder.run(['new', ...words])).toEqual({ code: 2, stdout: '', stderr });
    expect(await folder.names()).toEqual(['master.png']);
  });

  it('refuses a picture that is no whole sphere', async () => {
    const { default: sharp } = await import('sharp');
    const master = await readFile(folder.file('master.png'));
    await writeFile(
      folder.file('flat.png'),
      await sharp(master).resize(128, 128, { fit: 'fill' }).toBuffer(),
    );
    const { code, stdout, stderr } = await folder.run(['new', 'intro', '--master', 'flat.png']);
    expect([code, stdout]).toEqual([2, '']);
    expect(stderr).toMatch(
      /^flat\.png: expected a master of the whole sphere, .*found 128x128.*\n$/,
    );
    expect(await folder.names()).toEqual(['flat.png', 'master.png']);
  });
});
