import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { WorkError } from '../errors.js';
import type { PageData } from './types.js';

/** The page's own script and style, as vite has built them. */
export interface Bundle {
  readonly script: string;
  readonly style: string;
}

const BUILT = new URL('../../dist/page/web/', import.meta.url);

/** @throws WorkError when it has not been built */
export async function readBundle(): Promise<Bundle> {
  const read = (name: string) => readFile(new URL(name, BUILT), 'utf8');
  try {
    return { script: (await read('page.js')).trim(), style: (await read('page.css')).trim() };
  } catch (error) {
    throw new WorkError(
      `The page's script is missing, so the installation is incomplete: ${(error as Error).message}.`,
    );
  }
}

export interface EmbeddedTile {
  readonly name: string;
  /** WebP. */
  readonly data: Buffer;
}

/**
 * The whole HTML file. The script begins with the first tiles; those of the rest come behind it.
 *
 * The policy allows this very script and style and nothing else: no requests, no eval. With a folder of
 * tiles that script may fetch more of them; they are scripts, since a page that is opened as a file may
 * show the pictures beside it but not draw with them.
 */
export function pageHtml(
  data: PageData,
  { script, style }: Bundle,
  first: readonly EmbeddedTile[],
  rest: readonly EmbeddedTile[],
): string {
  const own = script.replaceAll('</script', '<\\/script');
  const more = data.tiles === undefined ? '' : " 'strict-dynamic'";
  const policy = [
    "default-src 'none'",
    `script-src ${hashOf(own)}${more}`,
    `style-src ${hashOf(style)}`,
    'img-src data:',
    "base-uri 'none'",
    "form-action 'none'",
  ].join('; ');
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="referrer" content="no-referrer">
<meta name="viewport" content="width=device-width, initial-scale=1, viewport-fit=cover">
<meta name="color-scheme" content="light dark">
<title>${escaped(data.title)}</title>
${data.caption === '' ? '' : `<meta name="description" content="${escaped(data.caption)}">\n`}<link rel="icon" href="data:image/svg+xml,${ICON}">
<style>${style}</style>
</head>
<body>
<div id="page"></div>
<noscript>This is a picture of everything around one place. To look around in it, please allow this page its script.</noscript>
<script type="application/json" id="data">${inScript(JSON.stringify(data))}</script>
${first.map(tileElement).join('')}<script>${own}</script>
${rest.map(tileElement).join('')}</body>
</html>
`;
}

const tileElement = ({ name, data }: EmbeddedTile): string =>
  `<script type="text/plain" id="t${name}">${data.toString('base64')}</script>\n`;

/** A tile in a file of its own; see `pageHtml`. */
export const tileScript = ({ name, data }: EmbeddedTile): string =>
  `tile("${name}","${data.toString('base64')}")\n`;

const hashOf = (text: string): string =>
  `'sha256-${createHash('sha256').update(text).digest('base64')}'`;

const ENTITIES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
};

const escaped = (text: string): string => text.replace(/[&<>"]/gu, (sign) => ENTITIES[sign]!);

/** Within a script element nothing may look like its end. */
const inScript = (json: string): string => json.replaceAll('<', '\\u003c');

/** A little planet with its horizon. */
const ICON = encodeURIComponent(
  '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32"><circle cx="16" cy="16" r="14" fill="#22313d"/><path d="M4 18c4-4 7 1 12-2s8-3 12-1a12 12 0 0 1-24 3z" fill="#fbf8f3"/></svg>',
);
