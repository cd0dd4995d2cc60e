import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openMaster } from '../../src/master/open.js';
import { directionAt } from '../../src/render/resolution.js';
import { loadScene } from '../../src/scene/load.js';
import { pixelsOf, useBrowser } from '../preview/support.js';
import { photo } from '../support/photos.js';
import { psnr, referenceFrame } from '../support/reference.js';
import { addressOf, atRest, cameraFor, make, viewOf, workFolder, writeMaster } from './support.js';

const browser = useBrowser();
const size = { width: 320, height: 240 };
const CALM = { ...size, reducedMotion: 'reduce' } as const;

const TEXTS = {
  title: 'The lake & <dawn>',
  caption: 'Balloons over the "valley".',
  credit: 'Picture: the windmill keeper',
};

const usual = mkdtempSync(join(tmpdir(), 'orbreel-page-'));
afterAll(() => rmSync(usual, { recursive: true, force: true, maxRetries: 5 }));
const master = join(usual, 'park.png');
const usualPage = join(usual, 'page.html');

beforeAll(async () => {
  await writeMaster(master, await photo('park'));
  await make({ source: { master }, target: { file: usualPage }, ...TEXTS });
});

/** A page of a small photograph; the same one for all who ask for nothing of their own. */
async function pageFile(job: Partial<Parameters<typeof make>[0]> = {}): Promise<string> {
  if (Object.keys(job).length === 0) return addressOf(usualPage);
  const file = workFolder().file('page.html');
  await make({ source: { master }, target: { file }, ...TEXTS, ...job });
  return addressOf(file);
}

const shows = (page: Page, selector: string) => page.locator(selector).isVisible();

/** Presses keys one after the other, and waits until the view has followed. */
async function press(page: Page, ...keys: string[]): Promise<void> {
  for (const key of keys) await page.keyboard.press(key);
  await atRest(page);
}

describe('a page to look around in', () => {
  it.each([
    ['a level view', { yaw: 35, pitch: 8, fov: 75 }],
    ['a little planet', { yaw: -60, pitch: -90, fov: 255 }],
    ['a look over the seam', { yaw: 178, pitch: 40, fov: 60 }],
    ['the zenith', { yaw: 20, pitch: 90, fov: 100 }],
  ])('shows what the double-precision reference shows: %s', async (_, start) => {
    const page = await browser.page(await pageFile({ start }), CALM);
    await atRest(page);
    const view = await viewOf(page);
    expect(view).toMatchObject({ ...start, roll: 0 });
    const { rgba, ...shown } = await pixelsOf(page);
    expect(shown).toEqual(size);
    const wanted = referenceFrame(
      await photo('park'),
      cameraFor(view, size),
      size.width,
      size.height,
      3,
    );
    // What is lost is WebP's doing.
    expect(psnr(wanted, rgba)).toBeGreaterThan(35);
  });

  it('asks for nothing and breaks no rule of its own policy', async () => {
    const address = await pageFile();
    const page = await browser.page('about:blank', CALM);
    const asked: string[] = [];
    page.on('request', (request) => asked.push(request.url()));
    await page.goto(address);
    await atRest(page);
    await press(page, 'p');
    expect(asked.filter((url) => !url.startsWith('data:'))).toEqual([address]);
    const policy = await page
      .locator('meta[http-equiv="Content-Security-Policy"]')
      .getAttribute('content');
    expect(policy).toMatch(/^default-src 'none'; script-src 'sha256-[\w+/=]{44}'; /u);
    expect(policy).not.toContain('unsafe');
  });

  it('has its words as they are, and the picture for screen readers', async () => {
    const page = await browser.page(await pageFile(), CALM);
    expect(await page.title()).toBe(TEXTS.title);
    expect(await page.locator('h1').textContent()).toBe(TEXTS.title);
    expect(await page.locator('#words').textContent()).toContain(TEXTS.caption);
    expect(await page.locator('#words').textContent()).toContain(TEXTS.credit);
    expect(await page.locator('#picture').getAttribute('aria-label')).toContain(TEXTS.title);
  });

  it('turns and zooms by keys, and says so', async () => {
    const page = await browser.page(await pageFile(), CALM);
    await atRest(page);
    await press(page, 'ArrowRight', 'ArrowRight', 'ArrowUp');
    const turned = await viewOf(page);
    expect(turned.yaw).toBeGreaterThan(10);
    expect(turned.pitch).toBeGreaterThan(5);
    await press(page, '+');
    expect((await viewOf(page)).fov).toBeLessThan(turned.fov);
    await page
      .getByText(/^Looking \d+ degrees to the right, \d+ degrees up/u)
      .waitFor({ state: 'attached' });
    await press(page, 'p');
    expect(await viewOf(page)).toMatchObject({ pitch: -90, distance: 1 });
    await press(page, 'Home');
    expect(await viewOf(page)).toMatchObject({ yaw: 0, pitch: 0, fov: 75, distance: 0 });
  });

  it('keeps under the hand what was taken there', async () => {
    const page = await browser.page(await pageFile(), CALM);
    await atRest(page);
    const [from, to] = [
      { x: 200, y: 60 },
      { x: 90, y: 130 },
    ];
    const before = await viewOf(page);
    await page.mouse.move(from.x, from.y);
    await page.mouse.down();
    await page.mouse.move(to.x, to.y, { steps: 12 });
    await page.mouse.up();
    await atRest(page);
    const after = await viewOf(page);
    // To the left and down goes the picture, so to the right and up the view.
    expect(after.yaw).toBeGreaterThan(before.yaw + 15);
    expect(after.pitch).toBeGreaterThan(before.pitch + 8);
    const at = (view: typeof before, { x, y }: typeof from) =>
      directionAt(cameraFor(view, size), (2 * x) / size.width - 1, 1 - (2 * y) / size.height);
    const [a, b] = [at(before, from), at(after, to)];
    expect(Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2])).toBeLessThan(0.03);
  });

  it('comes nearer by a pinch', async () => {
    const start = { yaw: 0, pitch: 0, fov: 130 };
    const page = await browser.page(await pageFile({ start }), { ...CALM, hasTouch: true });
    await atRest(page);
    const before = await viewOf(page);
    const client = await page.context().newCDPSession(page);
    const touch = (type: 'touchStart' | 'touchMove' | 'touchEnd', gap: number) =>
      client.send('Input.dispatchTouchEvent', {
        type,
        touchPoints:
          type === 'touchEnd'
            ? []
            : [
                { x: 160 - gap, y: 60, id: 1 },
                { x: 160 + gap, y: 60, id: 2 },
              ],
      });
    await touch('touchStart', 30);
    for (const gap of [36, 44, 52, 60]) await touch('touchMove', gap);
    await touch('touchEnd', 0);
    await page.waitForFunction(
      (fov) =>
        Number(document.querySelector<HTMLElement>('#picture')!.dataset.view!.split(' ')[3]) < fov,
      before.fov * 0.6,
    );
    await atRest(page);
    const after = await viewOf(page);
    expect(after.fov).toBeCloseTo(before.fov / 2, 0);
    expect(Math.abs(after.yaw)).toBeLessThan(2);
  });

  it('begins as a planet and can be skipped', async () => {
    const page = await browser.page(await pageFile(), size);
    await page.waitForFunction(() => document.body.dataset.playing === 'true');
    await page.locator('#skip').click();
    await atRest(page);
    expect(await shows(page, '#skip')).toBe(false);
    expect(await viewOf(page)).toMatchObject({ yaw: 0, pitch: 0, fov: 75 });
  });

  it('ends its opening by itself at the first view', async () => {
    const page = await browser.page(
      await pageFile({ start: { yaw: 50, pitch: 5, fov: 70 } }),
      size,
    );
    await atRest(page);
    expect(await viewOf(page)).toMatchObject({ yaw: 50, pitch: 5, fov: 70, distance: 0 });
  });

  it('does not move by itself for those who want no motion', async () => {
    const page = await browser.page(await pageFile(), CALM);
    await atRest(page);
    expect(await shows(page, '#skip')).toBe(false);
    expect(await viewOf(page)).toMatchObject({ yaw: 0, pitch: 0 });
    // The move is there for who asks for it.
    expect(await shows(page, '[aria-label="Play the opening"]')).toBe(true);
  });

  it('looks where the device does', async () => {
    const page = await browser.page(await pageFile(), {
      ...{ ...CALM, width: 240, height: 320 },
      ...{ hasTouch: true, isMobile: true },
    });
    await atRest(page);
    // A device tells without end how it is held: upright before the face at first.
    await page.evaluate(() => {
      const held = { alpha: 90, beta: 90, gamma: 0 };
      Object.assign(window, { held });
      setInterval(() => dispatchEvent(new DeviceOrientationEvent('deviceorientation', held)), 30);
    });
    const button = page.locator('[aria-label="Look by moving the device"]');
    await button.click();
    await page.locator('[aria-pressed="true"]').waitFor();
    const { yaw, pitch, roll } = await viewOf(page);
    for (const angle of [yaw, pitch, roll]) expect(angle).toBeCloseTo(0, 3);
    // Then a quarter turn to the right, and tilted up.
    await page.evaluate(() =>
      Object.assign((window as unknown as { held: object }).held, { alpha: 0, beta: 110 }),
    );
    await page.waitForFunction(() => {
      const view = document.querySelector<HTMLElement>('#picture')!.dataset.view!;
      const [yaw, pitch] = view.split(' ').map(Number);
      return Math.abs(yaw! - 90) < 0.1 && Math.abs(pitch! - 20) < 0.1;
    });
    await button.click();
    await page.locator('[aria-pressed="false"]').waitFor();
  });

  it('plays a scene through all its projections, and ends where that does', async () => {
    const folder = workFolder();
    await writeMaster(folder.file('park.png'), await photo('park'));
    writeFileSync(
      folder.file('scene.yaml'),
      `master: park.png
duration: 1
fps: 10
outputs: [320x240]
keyframes:
  - { at: 0, yaw: 0, pitch: 20, fov: 300, projection: mirror-ball }
  - { at: 1, yaw: 90, pitch: -10, fov: 100, projection: panini }
`,
    );
    const scene = await loadScene(folder.file('scene.yaml'));
    const file = folder.file('page.html');
    await make({ source: { scene }, target: { file } });
    const page = await browser.page(addressOf(file), size);
    await atRest(page);
    const { yaw, pitch } = await viewOf(page);
    expect([yaw, pitch]).toEqual([expect.closeTo(90, 2), expect.closeTo(-10, 2)]);
    expect(await shows(page, '[aria-label="Play the opening"]')).toBe(true);
  });

  it('fetches the tiles of a folder as they are needed, also from a disk', async () => {
    const folder = workFolder();
    const small = await photo('city');
    const large = folder.file('city.jpg');
    await sharp(small.data, { raw: { width: small.width, height: small.height, channels: 3 } })
      .resize(2048, 1024, { kernel: 'cubic' })
      .jpeg({ quality: 95 })
      .toFile(large);
    await make({ source: { master: large }, target: { folder: folder.file('site') } });
    const page = await browser.page('about:blank', CALM);
    const asked: string[] = [];
    page.on('request', (request) => asked.push(request.url()));
    await page.goto(addressOf(folder.file('site/index.html')));
    await atRest(page);
    const tiles = () =>
      new Set(
        asked.filter((url) => url.includes('/tiles/')).map((url) => url.replace(/^.*\//u, '')),
      );
    const first = tiles();
    expect(first.size).toBeGreaterThan(0);
    expect(first.size).toBeLessThan(8);
    for (let n = 0; n < 9; n++) await press(page, 'ArrowRight');
    expect(tiles().size).toBeGreaterThan(first.size);
    const { rgba } = await pixelsOf(page);
    const view = await viewOf(page);
    const wanted = referenceFrame(
      await openMaster(large),
      cameraFor(view, size),
      size.width,
      size.height,
      3,
    );
    expect(psnr(wanted, rgba)).toBeGreaterThan(35);
  });
});

describe('the page’s size', () => {
  it('leaves its script below 60 kB', () => {
    expect(statSync(new URL('../../dist/page/web/page.js', import.meta.url)).size).toBeLessThan(
      60_000,
    );
  });
});

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

async function findings(page: Page): Promise<string[]> {
  await page.evaluate(axe);
  const { violations } = (await page.evaluate('axe.run()')) as {
    violations: {
      id: string;
      impact: string;
      nodes: { html: string; failureSummary?: string }[];
    }[];
  };
  return violations
    .filter(({ impact }) => impact !== 'minor')
    .flatMap(({ id, nodes }) => nodes.map((n) => `${id}: ${n.html} ${n.failureSummary ?? ''}`));
}

describe('the page, to axe-core', () => {
  it.each(['light', 'dark'] as const)(
    'has nothing wrong with it when it is %s',
    async (colorScheme) => {
      const page = await browser.page(await pageFile(), {
        ...CALM,
        width: 390,
        height: 700,
        colorScheme,
      });
      await atRest(page);
      expect(await findings(page)).toEqual([]);
      await page.keyboard.press('h');
      await page.locator('dialog[open]').waitFor();
      expect(await findings(page)).toEqual([]);
      await page.locator('dialog button').click();
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      expect(wide).toBeLessThanOrEqual(390);
    },
  );
});
