import { describe, expect, it } from 'vitest';
import { parseScene } from '../../src/scene/parse.js';
import { drawn, open, serve, useBrowser, workFolder } from './support.js';

const browser = useBrowser();

describe('the preview page by keyboard alone', () => {
  it('goes from the picture to a saved keyframe', async () => {
    const work = await workFolder();
    const { address } = await serve(work);
    const page = await open(await browser.page(address));
    const press = async (...keys: string[]) => {
      for (const key of keys) await page.keyboard.press(key);
    };
    const focused = () =>
      page.evaluate(() => document.activeElement?.id || document.activeElement?.ariaLabel);
    /** Tab by tab, until the focus is there; each place on the way shows that it has it. */
    const tabTo = async (id: string) => {
      for (let tabs = 0; tabs < 60; tabs++) {
        await press('Tab');
        if ((await focused()) === id) return;
      }
      throw new Error(`Tab never comes to ${id}.`);
    };

    await press(...Array<string>(5).fill('.'), 'PageDown', 'PageUp', 'End');
    await drawn(page, 3.9);
    expect(await page.locator('#keyframe-title').textContent()).toBe('Keyframe');
    await press('Home', ...Array<string>(10).fill('.'));
    await drawn(page, 1);

    await tabTo('picture');
    const outline = await page.evaluate(
      () => getComputedStyle(document.activeElement!).outlineStyle,
    );
    expect(outline).toBe('solid');
    const angle = async (name: string) => Number(await page.locator(`#look-${name}`).inputValue());
    const [yaw, fov] = [await angle('yaw'), await angle('fov')];
    await press('ArrowRight', 'ArrowRight', 'ArrowUp', '+', 'e');
    await page.waitForFunction(
      () => document.querySelector<HTMLInputElement>('#look-roll')?.value === '2',
    );
    expect(await angle('yaw')).toBeGreaterThan(yaw + 5);
    expect(await angle('pitch')).toBeGreaterThan(-90);
    expect(await angle('fov')).toBeLessThan(fov - 10);

    await press('Escape');
    await page.locator('#back-to-scene').waitFor({ state: 'detached' });
    await press('ArrowLeft', 'k');
    await page.locator('.bead').nth(3).waitFor();
    const said = page.locator('#said', { hasText: 'Set the keyframe at 1 s.' });
    await said.waitFor({ state: 'attached' });

    // On the string: two frames later, then away, then back again.
    await tabTo('scrubber');
    await press('Tab', 'Tab', 'ArrowRight');
    await page.waitForFunction(() => document.querySelector('#clock')?.textContent === '0:01.10');
    await press('ArrowRight');
    await page.waitForFunction(() => document.querySelector('#clock')?.textContent === '0:01.20');
    await press('Delete');
    await page.waitForFunction(() => document.querySelectorAll('.bead').length === 3);
    await press('Control+z');
    await page.locator('.bead').nth(3).waitFor();

    await press('Control+s');
    await page.locator('#savedness', { hasText: /^saved$/u }).waitFor();
    const { keyframes } = parseScene(work.read('scene.yaml'), work.file('scene.yaml'));
    expect(keyframes.map(({ at }) => at)).toEqual([0, 1.2, 2, 4]);

    await press('?');
    await page.locator('dialog[open]').waitFor();
    await press('Escape');
    await page.locator('dialog[open]').waitFor({ state: 'detached' });
    await tabTo('play');
    await press('Space');
    await page.locator('#play[aria-label=Pause]').waitFor();
    await press('Space');
    await page.locator('#play[aria-label=Play]').waitFor();
  });
});
