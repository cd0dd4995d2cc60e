import { readFileSync } from 'node:fs';
import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { open, SCENE, serve, until, useBrowser, workFolder } from './support.js';

const browser = useBrowser();

/** Makes a change of the scene in the page. */
async function change(page: Page): Promise<void> {
  await page.locator('#look-pitch').fill('-70');
  await page.keyboard.press('Enter');
  await page.locator('#set-keyframe').click();
  await page.locator('#savedness', { hasText: 'unsaved' }).waitFor();
}

const OTHER = SCENE.replace('fov: 280', 'fov: 270');

describe('a scene file that is changed by somebody else', () => {
  it('is taken up where the page has no changes of its own', async () => {
    const work = await workFolder();
    const { address } = await serve(work);
    const page = await open(await browser.page(address));
    work.write('scene.yaml', OTHER);
    await page.waitForFunction(
      () => document.querySelector<HTMLInputElement>('#look-fov')?.value === '270',
    );
    expect(await page.locator('#savedness').textContent()).toBe('saved');
  });

  it('leaves alone what is being typed', async () => {
    const work = await workFolder();
    const { address } = await serve(work);
    const page = await open(await browser.page(address));
    const value = (id: string) => page.locator(`#${id}`).inputValue();
    await page.locator('#look-pitch').fill('-70');
    work.write('scene.yaml', OTHER);
    await page.waitForFunction(
      () => document.querySelector<HTMLInputElement>('#look-fov')?.value === '270',
    );
    expect(await value('look-pitch')).toBe('-70');
    await page.keyboard.press('Enter');
    await page.locator('#set-keyframe').click();
    await page.locator('#savedness', { hasText: 'unsaved' }).waitFor();
    // Once entered, a field shows what the view has made of it.
    await page.locator('#look-fov').fill('999');
    await page.keyboard.press('Enter');
    await page.waitForFunction(
      () => Number(document.querySelector<HTMLInputElement>('#look-fov')?.value) < 999,
    );
  });

  it('is shown beside the page’s own version, and neither is lost', async () => {
    const work = await workFolder();
    const { address } = await serve(work);
    const page = await open(await browser.page(address));
    await change(page);
    work.write('scene.yaml', OTHER);
    await page.locator('#conflict-banner').waitFor();
    await page.keyboard.press('Control+s');
    await page.locator('#said', { hasText: 'Not saved' }).waitFor({ state: 'attached' });
    expect(work.read('scene.yaml')).toBe(OTHER);

    await page.locator('#conflict-banner button').click();
    await page.locator('#version-mine .differs').waitFor();
    expect(await page.locator('#version-mine .differs').allInnerTexts()).toEqual([
      expect.stringContaining('pitch: -70, fov: 280'),
    ]);
    expect(await page.locator('#version-disk .differs').allInnerTexts()).toEqual([
      expect.stringContaining('pitch: -90, fov: 270'),
    ]);
    await page.locator('#keep-mine').click();
    await page.locator('#note').waitFor();
    expect(await page.locator('#note').textContent()).toContain('scene-from-disk.yaml');
    expect(work.read('scene.yaml')).toBe(SCENE.replace('pitch: -90', 'pitch: -70'));
    expect(work.read('scene-from-disk.yaml')).toBe(OTHER);

    // And the other way round.
    await page.keyboard.press('Control+z');
    await page.locator('#savedness', { hasText: 'unsaved' }).waitFor();
    work.write('scene.yaml', OTHER);
    await page.locator('#conflict-banner button').click();
    await page.locator('#take-disk').click();
    await page.locator('#savedness', { hasText: /^saved$/u }).waitFor();
    expect(work.read('scene.yaml')).toBe(OTHER);
    expect(work.read('scene-from-page.yaml')).toBe(SCENE);
  });
});

describe('a preview that does not answer', () => {
  it('is told, keeps the changes, and goes on when it is back', async () => {
    const work = await workFolder();
    const { address, child } = await serve(work);
    const page = await open(await browser.page(address));
    await change(page);
    child.kill('SIGSTOP');
    await page.locator('#lost').waitFor();
    expect(await page.locator('#lost').textContent()).toContain(
      'Your unsaved changes are still in this page.',
    );
    const download = page.waitForEvent('download');
    await page.locator('#rescue').click();
    const copy = readFileSync(await (await download).path(), 'utf8');
    expect(copy).toBe(SCENE.replace('pitch: -90', 'pitch: -70'));

    child.kill('SIGCONT');
    await page.locator('#lost').waitFor({ state: 'detached' });
    await page.keyboard.press('Control+s');
    await page.locator('#savedness', { hasText: /^saved$/u }).waitFor();
    await until(() => work.read('scene.yaml').includes('pitch: -70'), 'the saved change');
  });
});

describe('a scene with mistakes', () => {
  it('shows each beside its line, and goes on when it is mended in the page', async () => {
    const bad = SCENE.replace('fov: 80', 'fov: 190').replace('fov: 200', 'fow: 200');
    const work = await workFolder(bad);
    const { address } = await serve(work);
    const page = await browser.page(address);
    const problems = page.locator('#problems li');
    await problems.first().waitFor();
    const told = await problems.allInnerTexts();
    expect(told[0]).toContain("line 13 keyframes[1].fow is not a field here. Did you mean 'fov'?");
    expect(told[0]).toContain('fow: 200      # still all of it');
    expect(told.join('\n')).toMatch(/line 17 keyframes\[2\]\.fov .*less than 180 degrees/u);
    expect(await page.locator('#render-button').isDisabled()).toBe(true);

    await page.locator('#problems button').click();
    await page.locator('#scene-text').fill(SCENE);
    await page.locator('#apply-text').click();
    await page.locator('#problems').waitFor({ state: 'detached' });
    await page.keyboard.press('Escape');
    await open(page);
    expect(work.read('scene.yaml')).toBe(bad);
    await page.keyboard.press('Control+s');
    await page.locator('#savedness', { hasText: /^saved$/u }).waitFor();
    expect(work.read('scene.yaml')).toBe(SCENE);
  });

  it('follows the editor in which it is mended, and the master that comes late', async () => {
    const work = await workFolder(SCENE.replace('park.png', 'late.png'));
    const { address } = await serve(work);
    const page = await browser.page(address);
    await page.locator('#problems li').first().waitFor();
    expect(await page.locator('#problems li').textContent()).toContain(
      'line 2 master there is no file late.png',
    );
    work.write('scene.yaml', SCENE);
    await page.locator('#problems').waitFor({ state: 'detached' });
    await open(page);
  });
});
