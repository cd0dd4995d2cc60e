import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Page } from 'playwright-core';
import sharp from 'sharp';
import { onTestFinished } from 'vitest';
import type { Camera } from '../../src/camera/types.js';
import type { Pixels } from '../../src/master/pixels.js';
import { makePage, type PageJob } from '../../src/page/make.js';
import { cameraOf } from '../../src/page/samples.js';
import { momentOf, type View } from '../../src/page/web/view.js';

/** A folder of its own for one test. */
export function workFolder(): { readonly path: string; file(name: string): string } {
  const path = mkdtempSync(join(tmpdir(), 'orbreel-page-'));
  onTestFinished(() => rmSync(path, { recursive: true, force: true, maxRetries: 5 }));
  return { path, file: (name) => join(path, name) };
}

export async function writeMaster(file: string, { width, height, data }: Pixels): Promise<string> {
  await sharp(data, { raw: { width, height, channels: 3 } })
    .png()
    .toFile(file);
  return file;
}

export const make = (job: Omit<PageJob, 'overwrite' | 'signal'> & Partial<PageJob>) =>
  makePage({ overwrite: false, signal: new AbortController().signal, ...job });

export const addressOf = (file: string): string => pathToFileURL(file).href;
export const textOf = (file: string): string => readFileSync(file, 'utf8');

/** Waits until the picture is at rest and has all its detail. */
export async function atRest(page: Page): Promise<void> {
  await page.waitForFunction(
    () => document.querySelector<HTMLElement>('#picture')?.dataset.drawn === 'sharp',
  );
}

export async function viewOf(page: Page): Promise<View> {
  const text = await page.evaluate(
    () => document.querySelector<HTMLElement>('#picture')!.dataset.view ?? '',
  );
  const [yaw, pitch, roll, fov, distance] = text.split(' ').map(Number) as [
    number,
    number,
    number,
    number,
    number,
  ];
  return { yaw, pitch, roll, fov, distance };
}

/** The camera that the page draws with when it shows `view`. */
export const cameraFor = (view: View, size: { width: number; height: number }): Camera =>
  cameraOf(momentOf(view), size);
