import type { FetchTexels } from '../../browser/tiles.js';
import { KEY_HEADER, type OverlayState, type PageState } from '../protocol.js';

/** The server said no; the message is for the user. */
export class Refused extends Error {
  override readonly name = 'Refused';
}

/** The key that came in the page's address, after the #: it is never sent as part of one. */
const key = (): string => location.hash.slice(1);

const ask = (path: string, init: RequestInit = {}): Promise<Response> =>
  fetch(path, { ...init, headers: { ...init.headers, [KEY_HEADER]: key() } });

async function sentence(response: Response): Promise<string> {
  const said = (await response.json().catch(() => ({}))) as { message?: string };
  return said.message ?? `The server answered with ${response.status}.`;
}

/** Asks the server to do something; its state afterwards. @throws Refused; TypeError when it is not there */
export async function post(name: string, body: unknown = {}): Promise<PageState> {
  const response = await ask(`/api/${name}`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify(body),
  });
  if (!response.ok) throw new Refused(await sentence(response));
  return (await response.json()) as PageState;
}

/** What lies over the picture in a shape. @throws Refused */
export async function overlaysOf(shape: string): Promise<readonly OverlayState[]> {
  const response = await ask(`/api/overlays?${new URLSearchParams({ shape })}`);
  if (!response.ok) throw new Refused(await sentence(response));
  return (await response.json()) as OverlayState[];
}

export const texelsOf =
  (id: number): FetchTexels =>
  async (level, { x, y, width, height }, signal) => {
    const query = new URLSearchParams(
      Object.entries({ id, level, x, y, width, height }).map(([k, v]) => [k, String(v)]),
    );
    const response = await ask(`/api/texels?${query}`, { signal });
    if (!response.ok) throw new Refused(await sentence(response));
    return new Uint8Array(await response.arrayBuffer());
  };

/** With no sign of life for so long, in ms, the server is gone; it gives one every two seconds. */
const PATIENCE = 7000;
const RETRY = 1000;

export interface Listener {
  onState(state: PageState): void;
  onConnection(connection: 'on' | 'lost' | 'refused', why: string): void;
}

/** Follows the server's state, and comes back by itself when the connection does. Never ends. */
export async function follow(listener: Listener): Promise<void> {
  for (;;) {
    const stop = new AbortController();
    try {
      const response = await ask('/api/events', { signal: stop.signal });
      if (!response.ok) {
        listener.onConnection('refused', await sentence(response));
      } else {
        listener.onConnection('on', '');
        await readLines(response, stop, listener);
        listener.onConnection('lost', '');
      }
    } catch {
      listener.onConnection('lost', '');
    }
    stop.abort();
    await new Promise((resolve) => setTimeout(resolve, RETRY));
  }
}

async function readLines(
  response: Response,
  stop: AbortController,
  { onState }: Listener,
): Promise<void> {
  const reader = response.body!.pipeThrough(new TextDecoderStream()).getReader();
  let rest = '';
  for (;;) {
    const silence = setTimeout(() => stop.abort(), PATIENCE);
    const { value, done } = await reader.read().finally(() => clearTimeout(silence));
    if (done) return;
    const lines = (rest + value).split('\n');
    rest = lines.pop() ?? '';
    for (const line of lines) if (line !== '') onState(JSON.parse(line) as PageState);
  }
}
