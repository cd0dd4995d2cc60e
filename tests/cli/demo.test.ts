import { cp, mkdir, readdir, readFile, stat, symlink, writeFile } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import sharp from 'sharp';
import { beforeEach, describe, expect, it } from 'vitest';
import { commandOf, projectFolder, SHORT_SCENE, workFolder } from './support.js';

const DEMO_SCENE = SHORT_SCENE.replace('master.png', '../examples/valley.jpg');

describe('orbreel demo', () => {
  const folder = workFolder();
  let command: string[] = [];

  /** The package as npm installs it, its scene made short. */
  beforeEach(async () => {
    const home = folder.file('package');
    const [main = '', ...before] = commandOf().reverse();
    await cp(dirname(dirname(main)), join(home, 'dist'), { recursive: true });
    await cp(join(projectFolder, 'shaders'), join(home, 'shaders'), { recursive: true });
    await cp(join(projectFolder, 'package.json'), join(home, 'package.json'));
    await symlink(join(projectFolder, 'node_modules'), join(home, 'node_modules'), 'junction');
    await mkdir(join(home, 'scenes'));
    await writeFile(join(home, 'scenes', 'intro.yaml'), DEMO_SCENE);
    command = [...before.reverse(), join(home, 'dist', 'cli', basename(main))];
  });

  it('installed: makes master, scene and clip in a folder beside the user', async () => {
    const ended = await folder.run(['demo', '--width', '512', '--quality', 'draft'], { command });
    expect(ended.stdout).toBe('The demo clip: orbreel-demo/out/intro-64x32.mp4\n');
    expect(ended.stderr).toMatch(/^orbreel-demo\/examples\/valley\.jpg: \d+%\n/);
    expect(ended.stderr).toContain('\nThe demo master: orbreel-demo/examples/valley.jpg\n');
    expect(ended.stderr).toMatch(/intro-64x32\.mp4: 4 of 4 frames, [\d.]+ fps\n$/);
    expect(ended.code).toBe(0);
    const made = folder.file('orbreel-demo');
    expect(await readdir(join(made, 'examples'))).toEqual(['valley.jpg']);
    expect((await sharp(join(made, 'examples', 'valley.jpg')).metadata()).width).toBe(512);
    expect(await readdir(join(made, 'out'))).toEqual(['intro-64x32.mp4']);
    expect(await readFile(join(made, 'scenes', 'intro.yaml'), 'utf8')).toBe(DEMO_SCENE);
    expect((await readdir(folder.file('package'))).sort()).toEqual([
      'dist',
      'node_modules',
      'package.json',
      'scenes',
      'shaders',
    ]);
  });

  it('in the project: works there, keeps the master and replaces an earlier clip', async () => {
    const home = folder.file('package');
    for (const name of ['src', 'examples', 'out']) await mkdir(join(home, name));
    await cp(folder.file('master.png'), join(home, 'examples', 'valley.jpg'));
    await writeFile(join(home, 'out', 'intro-64x32.mp4'), 'an earlier one');
    expect(await folder.run(['demo', '--quiet'], { command })).toEqual({
      code: 0,
      stdout: '',
      stderr: '',
    });
    expect((await stat(join(home, 'out', 'intro-64x32.mp4'))).size).toBeGreaterThan(500);
    expect(await readFile(join(home, 'examples', 'valley.jpg'))).toEqual(
      await readFile(folder.file('master.png')),
    );
    await writeFile(folder.file('mine.mp4'), 'mine');
    expect(await folder.run(['demo', '--out', 'mine.mp4', '--quiet'], { command })).toEqual({
      code: 2,
      stdout: '',
      stderr: 'mine.mp4: already exists: choose another name, or add --overwrite to replace it.\n',
    });
    expect(await folder.read('mine.mp4')).toBe('mine');
  });

  it('refuses a width that will not do', async () => {
    expect(await folder.run(['demo', '--width', '1000'], { command })).toEqual({
      code: 2,
      stdout: '',
      stderr: "--width: takes 512 to 16384 pixels, a multiple of 64, found '1000'\n",
    });
  });
});
