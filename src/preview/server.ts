import { randomBytes } from 'node:crypto';
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { InputError, WorkError } from '../errors.js';
import { openStream } from './events.js';
import { sendFile } from './files.js';
import { overlays, texels, WRITES } from './routes.js';
import { expectKey, expectOwnPage, Refusal, readJson, setHeaders } from './safety.js';
import type { Session } from './session.js';

export interface Preview {
  /** With the key in its fragment, which no log and no other site gets to see. */
  readonly address: string;
  readonly port: number;
  readonly key: string;
  close(): Promise<void>;
}

export interface PreviewOptions {
  /** A free one by default. */
  readonly port?: number;
}

/** Serves the page of a session on this computer alone. @throws WorkError when the port is taken */
export async function servePreview(
  session: Session,
  { port: wanted = 0 }: PreviewOptions = {},
): Promise<Preview> {
  const key = randomBytes(24).toString('base64url');
  const server = createServer({ maxHeaderSize: 1 << 14, requestTimeout: 30_000 });
  await new Promise<void>((resolve, reject) => {
    server.once('error', (error: NodeJS.ErrnoException) => {
      const taken = error.code === 'EADDRINUSE' ? 'it is taken' : error.message;
      reject(new WorkError(`The port ${wanted} cannot be used: ${taken}. Leave --port out.`));
    });
    server.listen(wanted, '127.0.0.1', resolve);
  });
  const { port } = server.address() as AddressInfo;
  server.on('request', (request, response) => {
    void answer(request, response, session, key, port).catch((error: unknown) =>
      refuse(response, error),
    );
  });
  return {
    port,
    key,
    address: `http://127.0.0.1:${port}/#${key}`,
    close: () =>
      new Promise((resolve) => {
        server.close(() => resolve());
        server.closeAllConnections();
      }),
  };
}

async function answer(
  request: IncomingMessage,
  response: ServerResponse,
  session: Session,
  key: string,
  port: number,
): Promise<void> {
  setHeaders(response);
  expectOwnPage(request, port);
  const { pathname, searchParams } = new URL(request.url ?? '/', 'http://127.0.0.1');
  const [, api, name = ''] = /^\/(api)\/(\w+)$/u.exec(pathname) ?? [];
  if (api === undefined) {
    expectMethod(request, 'GET');
    return sendFile(response, pathname);
  }
  expectKey(request, key);
  if (name === 'events') return openStream(request, response, session);
  if (name === 'texels') {
    expectMethod(request, 'GET');
    return sendBytes(response, texels(session, searchParams));
  }
  if (name === 'overlays') {
    expectMethod(request, 'GET');
    return sendJson(response, 200, await overlays(session, searchParams));
  }
  const write = Object.hasOwn(WRITES, name) ? WRITES[name] : undefined;
  if (write === undefined) throw new Refusal(404, 'There is nothing here.');
  expectMethod(request, 'POST');
  await write.run(session, await readJson(request, write.most));
  sendJson(response, 200, session.state);
}

function expectMethod({ method }: IncomingMessage, wanted: string): void {
  if (method !== wanted) throw new Refusal(405, `Expected ${wanted}.`);
}

function sendBytes(response: ServerResponse, bytes: Uint8Array): void {
  response.writeHead(200, { 'Content-Type': 'application/octet-stream' });
  response.end(bytes);
}

function sendJson(response: ServerResponse, status: number, value: unknown): void {
  response.writeHead(status, { 'Content-Type': 'application/json; charset=utf-8' });
  response.end(JSON.stringify(value));
}

function refuse(response: ServerResponse, error: unknown): void {
  if (response.headersSent) {
    response.destroy();
    return;
  }
  const [status, message] = said(error);
  // What was too long is not read to its end.
  if (status === 413) response.setHeader('Connection', 'close');
  sendJson(response, status, { message });
}

function said(error: unknown): [number, string] {
  if (error instanceof Refusal) return [error.status, error.message];
  if (error instanceof InputError) return [422, error.message];
  if (error instanceof WorkError) return [500, error.message];
  return [
    500,
    `Something unexpected went wrong: ${error instanceof Error ? error.message : error}`,
  ];
}
