import { existsSync } from 'node:fs';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { parseScene } from '../../src/scene/parse.js';
import {
  drawn,
  open,
  pixelsOf,
  SCENE,
  seek,
  serve,
  until,
  useBrowser,
  workFolder,
} from './support.js';

const browser = useBrowser();

/** A busy machine must not fail a test. */
const PATIENT = { timeout: 30_000 };

describe('the preview page', () => {
  it('opens, is looked around in, sets a keyframe, scrubs, saves, and opens again', async () => {
    const work = await workFolder();
    const { address } = await serve(work);
    const page = await open(await browser.page(address));
    expect(await page.title()).toBe('scene.yaml – Orbreel');
    expect(await page.locator('.bead').count()).toBe(3);
    const before = await pixelsOf(page);
    expect([before.width, before.height]).toEqual([320, 180]);

    await seek(page, 30);
    await drawn(page, 3);
    expect(await page.locator('#keyframe-title').textContent()).toBe('No keyframe here');
    const yaw = Number(await page.locator('#look-yaw').inputValue());
    const box = (await page.locator('#picture').boundingBox())!;
    await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
    await page.mouse.down();
    await page.mouse.move(box.x + box.width / 2 + 90, box.y + box.height / 2, { steps: 4 });
    await page.mouse.up();
    await drawn(page, 3);
    // The picture comes along to the right, so the camera turned left.
    const turned = Number(await page.locator('#look-yaw').inputValue());
    expect(turned).toBeLessThan(yaw - 3);
    expect((await pixelsOf(page)).rgba).not.toEqual(before.rgba);

    await page.locator('#set-keyframe').click();
    await page.locator('.bead').nth(3).waitFor();
    expect(await page.locator('#savedness').textContent()).toBe('unsaved changes');
    expect(work.read('scene.yaml')).toBe(SCENE);
    await page.keyboard.press('Control+s');
    await page.locator('#savedness', { hasText: /^saved$/u }).waitFor();

    const saved = work.read('scene.yaml');
    // Every line that was there still is, in its order and as it was written.
    let at = 0;
    for (const line of SCENE.split('\n').filter((line) => line !== '')) {
      at = saved.indexOf(`${line}\n`, at);
      expect(at, line).toBeGreaterThanOrEqual(0);
    }
    const { keyframes } = parseScene(saved, work.file('scene.yaml'));
    expect(keyframes.map((keyframe) => keyframe.at)).toEqual([0, 2, 3, 4]);
    expect(keyframes[2]!.yaw).toBeCloseTo(turned, 1);

    await page.reload();
    await open(page);
    expect(await page.locator('.bead').count()).toBe(4);
    await seek(page, 30);
    await drawn(page, 3);
    expect(Number(await page.locator('#look-yaw').inputValue())).toBeCloseTo(turned, 1);
  });

  it('moves, copies and removes keyframes, takes it all back and does it again', async () => {
    const work = await workFolder();
    const { address } = await serve(work);
    const page = await open(await browser.page(address));
    const track = (await page.locator('#string').boundingBox())!;
    const second = (await page.locator('.bead').nth(1).boundingBox())!;
    await page.mouse.move(second.x + 10, second.y + 10);
    await page.mouse.down();
    await page.mouse.move(track.x + track.width / 4, second.y + 10, { steps: 4 });
    await page.mouse.up();
    const text = () => page.evaluate(() => document.querySelector('#clock')?.textContent);
    await page.waitForFunction(() => document.querySelector('#clock')?.textContent === '0:01.00');
    await page.keyboard.press('Control+c');
    await seek(page, 15);
    await page.keyboard.press('Control+v');
    await page.locator('.bead').nth(3).waitFor();
    expect(await text()).toBe('0:01.50');
    await page.locator('.bead').first().click();
    await page.locator('#remove-keyframe').click();
    await page.waitForFunction(() => document.querySelectorAll('.bead').length === 3);
    await page.keyboard.press('Control+s');
    await page.locator('#savedness', { hasText: /^saved$/u }).waitFor();
    const edited = work.read('scene.yaml');
    // As a share of the duration, as it was written; the comment on it stays.
    expect(edited).toContain('- at: 25%\n    fov: 200      # still all of it\n');
    expect(edited).toContain('  - at: 1.5\n    fov: 200\n    projection: stereographic\n');
    expect(edited).not.toContain('yaw: -40');

    const undo = page.locator('[aria-label^="Undo"]');
    for (let step = 0; step < 3; step++) {
      const before = await undo.getAttribute('aria-label');
      await page.keyboard.press('Control+z');
      await expect.poll(() => undo.getAttribute('aria-label'), PATIENT).not.toBe(before);
    }
    await page.keyboard.press('Control+s');
    await page.locator('#savedness', { hasText: /^saved$/u }).waitFor();
    await until(() => work.read('scene.yaml') === SCENE, 'the scene as it was');
    await page.keyboard.press('Control+Shift+z');
    await page.locator('#savedness', { hasText: 'unsaved changes' }).waitFor();
  });

  it('morphs to another projection, zooms and levels', async () => {
    const work = await workFolder();
    const { address } = await serve(work);
    const page = await open(await browser.page(address, { reducedMotion: 'reduce' }));
    await page.locator('#picture').hover();
    for (let turn = 0; turn < 3; turn++) await page.mouse.wheel(0, -150);
    await page.waitForFunction(
      () => Number(document.querySelector<HTMLInputElement>('#look-fov')?.value) < 200,
    );
    await page.locator('input[value=mirror-ball]').check();
    await drawn(page);
    await page.locator('#picture').dblclick();
    await page.waitForFunction(
      () => document.querySelector<HTMLInputElement>('#look-pitch')?.value === '0',
    );
    await page.locator('#set-keyframe').click();
    await page.locator('#back-to-scene').waitFor({ state: 'detached' });
    await page.locator('[aria-label="Show the scene\'s text"]').click();
    const text = await page.locator('#scene-text').inputValue();
    expect(text).toMatch(
      /- \{ at: 0, yaw: -40, pitch: 0, fov: [\d.]+, projection: mirror-ball \}/u,
    );
  });

  it('places marks by clicking, shows them, and lets a keyframe look at one', async () => {
    const work = await workFolder();
    const { address } = await serve(work);
    const page = await open(await browser.page(address));
    await page.locator('#scrubber').fill('39');
    await drawn(page, 3.9);
    await page.locator('#place-mark').click();
    const box = (await page.locator('#picture').boundingBox())!;
    // The keyframe is at 4 s, which the last frame stands for: its middle is where that looks.
    await page.mouse.click(box.x + box.width / 2, box.y + box.height / 2);
    await page.locator('dialog input[name=name]').fill('tree');
    await page.keyboard.press('Enter');
    const sign = page.locator('.mark');
    await sign.waitFor();
    const apart = async () => {
      const [at, picture] = [
        await sign.boundingBox(),
        await page.locator('#picture').boundingBox(),
      ];
      const [x, y] = [picture!.x + picture!.width / 2, picture!.y + picture!.height / 2];
      return Math.hypot(at!.x + 9 - x, at!.y + 17 - y);
    };
    await expect.poll(apart, PATIENT).toBeLessThan(3);

    await page.locator('#keyframe-look').selectOption('tree');
    await page.locator('[aria-label="Leave out look"]').waitFor();
    await page.keyboard.press('Control+s');
    await page.locator('#savedness', { hasText: /^saved$/u }).waitFor();
    const saved = work.read('scene.yaml');
    expect(saved).toMatch(
      /- \{ at: 4, fov: 80, projection: rectilinear, look: tree \}\nmarks: \{ tree: \{ yaw: (29|30)[\d.]*, pitch: -?[\d.]+ \} \}\n$/u,
    );
    const { marks, keyframes } = parseScene(saved, work.file('scene.yaml'));
    expect(marks[0]!.yaw).toBeCloseTo(30, -1);
    expect(keyframes[2]!.look?.name).toBe('tree');
  });

  it('renders a still and a clip beside the scene, replacing nothing', async () => {
    const work = await workFolder(
      SCENE.replace('duration: 4 ', 'duration: 0.4 ').replace('at: 4', 'at: 0.4'),
    );
    work.write('scene-320x180-0s.png', 'mine');
    const { address } = await serve(work);
    const page = await open(await browser.page(address));
    await page.locator('#render-button').click();
    await page.locator('dialog button.strong').click();
    await page.locator('#work[data-state=done]').waitFor({ timeout: 90_000 });
    expect(work.read('scene-320x180-0s.png')).toBe('mine');
    const { width, height } = await sharp(work.file('scene-320x180-0s-2.png')).metadata();
    expect([width, height]).toEqual([320, 180]);
    await page.locator('#render-button').click();
    await page.locator('dialog input[value=clip]').check();
    await page.locator('dialog button.strong').click();
    await page.locator('#work[data-state=going]').waitFor();
    await page.locator('#work[data-state=done]').waitFor({ timeout: 90_000 });
    expect(existsSync(work.file('scene-320x180.mp4'))).toBe(true);
  });

  it('begins a scene for a master that has none, and saves it under a name of its own', async () => {
    const work = await workFolder();
    const { address, end } = await serve(work, 'park.png');
    const page = await open(await browser.page(address));
    expect(await page.locator('#savedness').textContent()).toBe('not saved yet');
    await page.locator('#save-button').click();
    await page.locator('dialog input[name=name]').fill('scene');
    await page.locator('dialog button.strong').click();
    await page.locator('#trouble').waitFor();
    expect(await page.locator('#trouble').textContent()).toContain('scene.yaml');
    expect(work.read('scene.yaml')).toBe(SCENE);
    await page.locator('#save-button').click();
    await page.locator('dialog input[name=name]').fill('first flight');
    await page.locator('dialog button.strong').click();
    await page.locator('#savedness', { hasText: /^saved$/u }).waitFor();
    const scene = parseScene(work.read('first flight.yaml'), work.file('first flight.yaml'));
    expect(scene.master).toBe(work.file('park.png'));

    await page.locator('#look-pitch').fill('-80');
    await page.keyboard.press('Enter');
    await page.locator('#key-button').click();
    await page.locator('#savedness', { hasText: 'unsaved' }).waitFor();
    const { code, stderr } = await end();
    expect(code).toBe(0);
    expect(stderr).toContain('Unsaved changes are in first flight-unsaved.yaml.');
    expect(existsSync(work.file('first flight-unsaved.yaml'))).toBe(true);
  });
});
