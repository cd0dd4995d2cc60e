import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { delimiter, join } from 'node:path';
import { type Browser, chromium, type Page } from 'playwright-core';
import sharp from 'sharp';
import { afterAll, beforeAll, onTestFinished } from 'vitest';
import { commandOf } from '../cli/support.js';
import { photo } from '../support/photos.js';

/** 4 s at 10 frames a second over `park.png`, with comments and a style of its own. */
export const SCENE = `# Over the park, at dawn.
master: park.png
duration: 4   # seconds
fps: 10
outputs: [320x180, vertical]

keyframes:
  # The little planet ...
  - { at: 0, yaw: -40, pitch: -90, fov: 280, projection: stereographic }

  # ... comes nearer,
  - at: 50%
    fov: 200      # still all of it
    projection: 'stereographic'

  # and opens.
  - { at: 4, yaw: 30, pitch: 0, fov: 80, projection: rectilinear }
`;

export interface Work {
  readonly folder: string;
  file(name: string): string;
  read(name: string): string;
  write(name: string, text: string): void;
}

/** A folder of its own with a small photograph as master, and the scene above. */
export async function workFolder(scene = SCENE): Promise<Work> {
  const folder = mkdtempSync(join(tmpdir(), 'orbreel-preview-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true, maxRetries: 5 }));
  const file = (name: string) => join(folder, name);
  const { width, height, data } = await photo('park');
  await sharp(data, { raw: { width, height, channels: 3 } })
    .png()
    .toFile(file('park.png'));
  writeFileSync(file('scene.yaml'), scene);
  return {
    folder,
    file,
    read: (name) => readFileSync(file(name), 'utf8'),
    write: (name, text) => writeFileSync(file(name), text),
  };
}

export interface Served {
  readonly address: string;
  readonly child: ChildProcess;
  /** Ends it as Ctrl-C does; what it said meanwhile. */
  end(): Promise<{ readonly code: number | null; readonly stderr: string }>;
}

/** `orbreel preview` as a user starts it. */
export async function serve(work: Work, file = 'scene.yaml', more: string[] = []): Promise<Served> {
  const [program = '', ...words] = commandOf();
  const child = spawn(program, [...words, 'preview', file, '--no-open', ...more], {
    cwd: work.folder,
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let stderr = '';
  child.stderr.setEncoding('utf8').on('data', (text: string) => {
    stderr += text;
  });
  const ended = new Promise<number | null>((done) => child.once('close', done));
  const address = await new Promise<string>((resolve, reject) => {
    let stdout = '';
    child.stdout.setEncoding('utf8').on('data', (text: string) => {
      stdout += text;
      if (stdout.includes('\n')) resolve(stdout.trim());
    });
    void ended.then((code) => reject(new Error(`The preview ended with ${code}: ${stderr}`)));
  });
  const end = async () => {
    child.kill('SIGCONT');
    child.kill('SIGINT');
    return { code: await ended, stderr };
  };
  onTestFinished(async () => {
    await end();
  });
  return { address, child, end };
}

/** Debian's, or the one named in CHROMIUM_BIN; src/setup/needs.mjs looks for the same. */
function browserPath(): string {
  const names = ['chromium', 'chromium-browser', 'google-chrome'];
  const folders = (process.env.PATH ?? '').split(delimiter);
  const found = names.flatMap((name) => folders.map((folder) => join(folder, name)));
  const path = process.env.CHROMIUM_BIN ?? found.find(existsSync);
  if (path === undefined)
    throw new Error('No chromium: apt-get install chromium, or CHROMIUM_BIN.');
  return path;
}

/** One browser for the tests of a file. */
export function useBrowser(): { page(address: string, options?: PageOptions): Promise<Page> } {
  let browser: Browser | undefined;
  beforeAll(async () => {
    const args = ['--no-sandbox', '--use-angle=swiftshader', '--enable-unsafe-swiftshader'];
    browser = await chromium.launch({ executablePath: browserPath(), args });
  });
  afterAll(() => browser?.close());
  return {
    async page(address, { width = 1100, height = 760, ...options } = {}) {
      const viewport = { width, height };
      const page = await browser!.newPage({ viewport, ...options });
      const complaints: string[] = [];
      page.on('pageerror', (error) => complaints.push(String(error.stack)));
      page.on('console', (message) => {
        // A policy that was broken, a shader that did not link: all of it is told here.
        if (message.type() === 'error' && !/Failed to load|ERR_/u.test(message.text()))
          complaints.push(message.text());
      });
      onTestFinished(async () => {
        await page.close();
        if (complaints.length > 0) throw new Error(complaints.join('\n'));
      });
      page.setDefaultTimeout(30_000);
      await page.goto(address);
      return page;
    },
  };
}

interface PageOptions {
  readonly width?: number;
  readonly height?: number;
  readonly colorScheme?: 'light' | 'dark';
  readonly reducedMotion?: 'reduce';
  readonly hasTouch?: boolean;
  readonly isMobile?: boolean;
}

/** Waits until the picture of an instant is drawn as finely as it can be. */
export async function drawn(page: Page, seconds?: number): Promise<void> {
  const wanted = seconds === undefined ? '' : seconds.toFixed(4);
  await page.waitForFunction((start) => {
    const said = document.querySelector<HTMLElement>('#picture')?.dataset.drawn ?? '';
    return said.startsWith(start) && said.endsWith(' sharp');
  }, wanted);
}

export async function open(page: Page): Promise<Page> {
  await page.waitForSelector('#savedness');
  await drawn(page);
  return page;
}

/** The canvas's pixels, RGBA. */
export async function pixelsOf(page: Page) {
  const data = await page.evaluate(() =>
    document.querySelector<HTMLCanvasElement>('#picture')!.toDataURL('image/png'),
  );
  const png = Buffer.from(data.slice(data.indexOf(',') + 1), 'base64');
  const { data: rgba, info } = await sharp(png)
    .ensureAlpha()
    .raw()
    .toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, rgba: new Uint8Array(rgba) };
}

/** Moves the playhead as the slider does. */
export async function seek(page: Page, frame: number): Promise<void> {
  await page.locator('#scrubber').fill(String(frame));
}

/** Waits until a file says something. */
export async function until(check: () => boolean, what: string): Promise<void> {
  for (let tries = 0; tries < 300; tries++) {
    if (check()) return;
    await new Promise((done) => setTimeout(done, 100));
  }
  throw new Error(`${what} did not come about.`);
}
