import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { loadScene } from '../../src/scene/load.js';
import { warningsOf } from '../../src/scene/warnings.js';

const folder = mkdtempSync(join(tmpdir(), 'orbreel-scene-'));
afterAll(() => rmSync(folder, { recursive: true }));

const put = (name: string, content: string | Uint8Array): string => {
  const path = join(folder, name);
  writeFileSync(path, content);
  return path;
};

const A_SCENE = "a scene is a text file; 'orbreel new NAME --master FILE' writes one to start from";
const KEYFRAMES = 'duration: 8\nkeyframes:\n  - at: 0\n';

const says = async (path: string, message: string) => {
  await expect(loadScene(path)).rejects.toMatchObject({ name: 'InputError', message });
};

describe('loading a scene', () => {
  it('finds the master from the folder of the scene', async () => {
    mkdirSync(join(folder, 'masters'));
    put('masters/valley.jpg', 'a picture');
    const path = put('good.yaml', `master: masters/valley.jpg\n${KEYFRAMES}`);
    expect(await loadScene(path)).toMatchObject({
      name: 'good',
      shots: [{ master: join(folder, 'masters', 'valley.jpg') }],
    });
  });

  it('takes a byte order mark, and JSON', async () => {
    put('v.jpg', 'a picture');
    const bom = put('bom.yaml', `\ufeffmaster: v.jpg\n${KEYFRAMES}`);
    expect((await loadScene(bom)).duration).toBe(8);
    const json = put(
      'a.json',
      '{"$schema": "s", "master": "v.jpg", "duration": 8, "keyframes": [{"at": 0}]}',
    );
    expect((await loadScene(json)).name).toBe('a');
  });

  it('says where the master is missing, with all else that is wrong', async () => {
    const path = put('lost.yaml', `fps: 0\nmaster: gone.jpg\n${KEYFRAMES}`);
    await says(
      path,
      [
        `${path}:1:6: fps: takes 1 to 240 frames per second, or a fraction such as '30000/1001', found 0`,
        `${path}:2:9: master: there is no file gone.jpg; the path counts from the scene file's folder`,
      ].join('\n'),
    );
  });

  it('says when the master is a folder', async () => {
    const path = put('folder.yaml', `master: .\n${KEYFRAMES}`);
    await says(path, `${path}:1:9: master: takes a picture, found the folder .`);
  });

  it('says when there is no scene', async () => {
    const path = join(folder, 'nowhere', 'scene.yaml');
    await says(path, `${path}: there is no such file`);
    await says(folder, `${folder}: is a folder; ${A_SCENE}`);
  });

  it.each([
    ['a JPEG picture', [0xff, 0xd8, 0xff, 0xe0, 0, 0x10]],
    ['a PNG picture', [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]],
    ['a TIFF picture', [0x49, 0x49, 0x2a, 0]],
    ['a WebP picture', [...Buffer.from('RIFF\x10\0\0\0WEBPVP8 ', 'latin1')]],
    ['a video', [...Buffer.from('\0\0\0\x20ftypisom', 'latin1')]],
    ['an archive', [0x50, 0x4b, 3, 4]],
  ])('knows %s', async (kind, bytes) => {
    const path = put('picture.yaml', Uint8Array.from(bytes));
    await says(path, `${path}: is ${kind}; ${A_SCENE}`);
  });

  it('knows what is no text in UTF-8', async () => {
    const binary = put('binary.yaml', 'master\0: a');
    await says(binary, `${binary}: is no text; ${A_SCENE}`);
    const wide = put('wide.yaml', Buffer.from('\ufeffmaster: a', 'utf16le'));
    await says(wide, `${wide}: is stored as UTF-16; store it as UTF-8`);
    const latin = put('latin.yaml', Buffer.from('master: \xe4.jpg', 'latin1'));
    await says(latin, `${latin}: is not stored as UTF-8; store it as UTF-8`);
    const large = put('large.yaml', 'x'.repeat(2 ** 20 + 1));
    await says(large, `${large}: is larger than 1 MiB; ${A_SCENE}`);
  });
});

describe('shots in other files', () => {
  const scene = (fields: string) => `${fields}\nkeyframes: [{at: 0, fov: 80}]\n`;
  const lake = () =>
    put(
      'lake.yaml',
      `master: v.jpg
duration: 3
fps: 50
outputs:
  - shape: square
    keyframes: [{at: 0, fov: 50}]
keyframes: [{at: 0, fov: 80}]
`,
    );

  it('are told where their sound does not count', async () => {
    put('v.jpg', 'a picture');
    const loud = (sound: string) =>
      put('loud.yaml', `master: v.jpg\nduration: 2\nsound: ${sound}\nkeyframes: [{at: 0}]\n`);
    const told = async (top: string) =>
      (await loadScene(put('outer.yaml', `${top}\nshots: [{scene: loud.yaml}]\n`))).shots.flatMap(
        (shot) => warningsOf(shot),
      );
    for (const sound of ['none', 'morning.wav', '{loudness: web}']) {
      loud(sound);
      expect(await told('fps: 30')).toEqual([
        {
          path: 'shots[0].scene',
          message:
            "the sound of loud.yaml does not count here, where several shots have one sound: say it again at the top of this file, with 'sound:'",
        },
      ]);
      expect(await told('sound: none')).toEqual([]);
    }
    loud('master');
    expect(await told('fps: 30')).toEqual([]);
  });

  it('are taken in the outputs and at the frame rate of the file that names them', async () => {
    put('v.jpg', 'a picture');
    put('w.jpg', 'a picture');
    lake();
    put(
      'inner.yaml',
      `outputs: [square]
shots:
  - {master: w.jpg, duration: 2, keyframes: [{at: 0}]}
  - {scene: lake.yaml, transition: {dissolve: 1}}
`,
    );
    const path = put(
      'outer.yaml',
      `fps: 25
outputs: [square, {shape: vertical, file: tall.mp4}]
duration: 9
shots:
  - scene: lake.yaml
  - {scene: inner.yaml, transition: {planet: 1, turns: -1}}
  - {master: w.jpg, duration: 3, keyframes: [{at: 0, fov: 60}]}
`,
    );
    const sequence = await loadScene(path);
    expect(sequence).toMatchObject({
      name: 'outer',
      duration: 9,
      fps: 25,
      outputs: [
        { shape: 'square', index: 0 },
        { shape: 'vertical', index: 1, file: join(folder, 'tall.mp4') },
      ],
      transitions: [
        { kind: 'planet', duration: 1, turns: -1, fov: 240 },
        { kind: 'dissolve', duration: 1 },
        { kind: 'cut' },
      ],
    });
    expect(sequence.shots).toMatchObject(
      [
        ['lake.yaml', 'v.jpg', 50],
        ['inner.yaml', 'w.jpg', undefined],
        ['lake.yaml', 'v.jpg', 50],
        ['outer.yaml', 'w.jpg', 60],
      ].map(([file, master, fov]) => ({
        file: join(folder, String(file)),
        master: join(folder, String(master)),
        fps: 25,
        // What a file says of an output of its own holds here in outputs of that shape.
        outputs: [
          { shape: 'square', keyframes: [fov === undefined ? {} : { fov }] },
          { shape: 'vertical' },
        ],
      })),
    );
  });

  it('are all told their mistakes, each in its own file', async () => {
    put('v.jpg', 'a picture');
    lake();
    const broken = put('broken.yaml', 'master: none.jpg\nduration: 2\nkeyframes: [{at: 5}]\n');
    const path = put(
      'several.yaml',
      `outputs: [square]
shots:
  - {scene: broken.yaml}
  - {scene: lake.yaml, transition: slide}
  - {scene: missing.yaml}
  - {scene: v.jpg}
  - {scene: broken.yaml, fps: 3}
`,
    );
    await says(
      path,
      [
        `${path}:4:36: shots[1].transition: takes cut, dissolve, planet, or a length with it: {dissolve: 1s}, {planet: 6s}, found 'slide'`,
        `${path}:5:13: shots[2].scene: missing.yaml: there is no such file`,
        `${path}:7:26: shots[4].fps: holds for the whole clip: write it at the top of the file, beside shots`,
        `${broken}:1:9: master: there is no file none.jpg; the path counts from the scene file's folder`,
        `${broken}:3:18: keyframes[0].at: takes a time from 0 to the duration, 2 s, found 5 s`,
        `${join(folder, 'v.jpg')}: holds only 'a picture'; a scene is written as fields: 'master: ...', 'duration: ...', 'keyframes: ...'`,
      ].join('\n'),
    );
  });

  it('must be long enough for the transition that leads into them', async () => {
    put('v.jpg', 'a picture');
    lake();
    put(
      'short.yaml',
      `master: v.jpg
keyframes: [{at: 0}]
shots:
  - {duration: 2}
  - {duration: 2, transition: dissolve}
`,
    );
    const path = put(
      'tight.yaml',
      'shots:\n  - scene: lake.yaml\n  - {scene: short.yaml, transition: {planet: 1.5}}\n',
    );
    await says(
      path,
      `${path}:3:37: shots[1].transition: lasts 1.5 s, but the shot after it lasts 2 s and is for 1 s of them already in the transition that follows; that leaves 1 s`,
    );
  });

  it('must not lead round in a circle', async () => {
    const first = put('first.yaml', 'shots:\n  - scene: second.yaml\n');
    const second = put('second.yaml', 'shots:\n  - scene: ./first.yaml\n');
    await says(
      first,
      `${second}:2:12: shots[0].scene: leads round in a circle: first.yaml > second.yaml > first.yaml`,
    );
    const self = put('self.yaml', 'shots:\n  - scene: self.yaml\n');
    await says(
      self,
      `${self}:2:12: shots[0].scene: leads round in a circle: self.yaml > self.yaml`,
    );
  });

  it('must suit the outputs of the file that names them', async () => {
    put('v.jpg', 'a picture');
    put(
      'wide.yaml',
      'master: v.jpg\nduration: 1\nkeyframes: [{at: 0, projection: panini, fov: 200}]\n',
    );
    const path = put('fits.yaml', 'outputs: [landscape]\nshots:\n  - scene: wide.yaml\n');
    await says(
      path,
      `${path}:3:12: shots[0].scene: in wide.yaml, keyframes[0].fov: panini takes more than 0 and less than 180 degrees along the frame's vertical side, found 200`,
    );
  });

  it('come to at most 500, however often files name each other', async () => {
    put('v.jpg', 'a picture');
    put('r0.yaml', scene('master: v.jpg\nduration: 1'));
    for (let level = 1; level <= 12; level++) {
      const shot = `  - scene: r${level - 1}.yaml\n`;
      put(`r${level}.yaml`, `shots:\n${shot.repeat(2)}`);
    }
    await says(
      join(folder, 'r12.yaml'),
      `${join(folder, 'r9.yaml')}:2:3: shots: come to 512 shots; a clip takes at most 500`,
    );
  });
});
