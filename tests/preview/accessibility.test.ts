import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { open, SCENE, serve, useBrowser, workFolder } from './support.js';

const browser = useBrowser();
const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

interface Found {
  readonly id: string;
  readonly impact: string | null;
  readonly nodes: readonly { readonly html: string; readonly failureSummary?: string }[];
}

/** What axe-core finds wrong with the page as it is: WCAG 2.2 A and AA, and its good practices. */
async function findings(page: Page): Promise<string[]> {
  const { violations } = (await page.evaluate('axe.run()')) as { violations: Found[] };
  return violations
    .filter(({ impact }) => impact !== 'minor')
    .flatMap(({ id, nodes }) => nodes.map((n) => `${id}: ${n.html} ${n.failureSummary ?? ''}`));
}

describe('the preview page, to axe-core', () => {
  it.each(['light', 'dark'] as const)('has nothing wrong with it when it is %s', async (scheme) => {
    const work = await workFolder();
    const { address } = await serve(work);
    const page = await open(await browser.page(address, { colorScheme: scheme }));
    // The policy forbids scripts of others in the page, but not to the browser's own debugger.
    await page.evaluate(axe);
    expect(await findings(page)).toEqual([]);
    for (const label of ['Show the keys', "Show the scene's text"]) {
      await page.locator(`[aria-label="${label}"]`).click();
      await page.locator('dialog[open]').waitFor();
      expect(await findings(page)).toEqual([]);
      await page.keyboard.press('Escape');
    }
    await page.locator('#render-button').click();
    expect(await findings(page)).toEqual([]);
    await page.keyboard.press('Escape');
    await page.locator('#look-pitch').fill('-70');
    await page.keyboard.press('Enter');
    await page.locator('#set-keyframe').click();
    await page.locator('#savedness', { hasText: 'unsaved' }).waitFor();
    work.write('scene.yaml', SCENE.replace('fov: 280', 'fov: 270'));
    await page.locator('#conflict-banner button').click();
    expect(await findings(page)).toEqual([]);
  });

  it('has nothing wrong with it on a phone, with mistakes in the scene', async () => {
    const work = await workFolder(SCENE.replace('fov: 80', 'fov: 190'));
    const { address } = await serve(work);
    const page = await browser.page(address, { width: 390, height: 844 });
    await page.locator('#problems li').first().waitFor();
    await page.evaluate(axe);
    expect(await findings(page)).toEqual([]);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth);
    expect(wide).toBeLessThanOrEqual(390);
  });
});
