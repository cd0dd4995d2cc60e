import { readFile } from 'node:fs/promises';
import type { ServerResponse } from 'node:http';
import { WorkError } from '../errors.js';
import { Refusal } from './safety.js';

/** The built page; from the sources it is the same folder. */
export const PAGE_FOLDER = new URL(
  import.meta.url.endsWith('.ts') ? '../../dist/preview/page/' : './page/',
  import.meta.url,
);

const KINDS: Readonly<Record<string, string>> = {
  html: 'text/html; charset=utf-8',
  js: 'text/javascript; charset=utf-8',
  css: 'text/css; charset=utf-8',
  svg: 'image/svg+xml',
};

/** A file of the page: its start, or one plain name in assets/. Nothing else of the disk can be named. */
export async function sendFile(response: ServerResponse, pathname: string): Promise<void> {
  const name = pathname === '/' ? 'index.html' : pathname.slice(1);
  const [, ending = ''] = /^(?:index|assets\/[\w-]+(?:\.[\w-]+)*|icon)\.(\w+)$/u.exec(name) ?? [];
  const kind = KINDS[ending];
  if (kind === undefined || name.includes('..')) throw new Refusal(404, 'There is nothing here.');
  const bytes = await readFile(new URL(name, PAGE_FOLDER)).catch(() => undefined);
  if (bytes === undefined && name === 'index.html') {
    throw new WorkError('The page is not built: run `npm run build`.');
  }
  if (bytes === undefined) throw new Refusal(404, 'There is nothing here.');
  response.writeHead(200, { 'Content-Type': kind });
  response.end(bytes);
}
