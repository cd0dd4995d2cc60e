import { timingSafeEqual } from 'node:crypto';
import type { IncomingMessage, ServerResponse } from 'node:http';
import { KEY_HEADER } from './protocol.js';

/** An answer that ends a request: an HTTP status and one sentence. */
export class Refusal extends Error {
  override readonly name = 'Refusal';
  readonly status: number;

  constructor(status: number, message: string) {
    super(message);
    this.status = status;
  }
}

/** Everything comes from this server; nothing runs that is not in a file of it. */
const POLICY = [
  "default-src 'none'",
  "script-src 'self'",
  "style-src 'self'",
  "img-src 'self' blob: data:",
  "connect-src 'self'",
  "base-uri 'none'",
  "form-action 'none'",
  "frame-ancestors 'none'",
].join('; ');

export function setHeaders(response: ServerResponse): void {
  const headers = {
    'Content-Security-Policy': POLICY,
    'X-Content-Type-Options': 'nosniff',
    'X-Frame-Options': 'DENY',
    'Referrer-Policy': 'no-referrer',
    'Cross-Origin-Opener-Policy': 'same-origin',
    'Cross-Origin-Resource-Policy': 'same-origin',
    'Cross-Origin-Embedder-Policy': 'require-corp',
    'Permissions-Policy': 'camera=(), microphone=(), geolocation=(), payment=(), usb=()',
    'Cache-Control': 'no-store',
  };
  for (const [name, value] of Object.entries(headers)) response.setHeader(name, value);
}

/**
 * Only our own page may ask: the Host header must be our address (a name that was made to point here,
 * DNS rebinding, is refused), and so must Origin, where there is one. @throws Refusal
 */
export function expectOwnPage({ headers }: IncomingMessage, port: number): void {
  const hosts = [`127.0.0.1:${port}`, `localhost:${port}`];
  if (!hosts.includes(headers.host ?? '')) {
    throw new Refusal(403, 'This server answers only to its own address on this computer.');
  }
  const { origin, 'sec-fetch-site': site } = headers;
  const isForeign = origin !== undefined && !hosts.some((host) => origin === `http://${host}`);
  if (isForeign || site === 'cross-site' || site === 'same-site') {
    throw new Refusal(403, 'This server answers only to its own page.');
  }
}

/** @throws Refusal where the request does not carry the key of the page's address */
export function expectKey({ headers }: IncomingMessage, key: string): void {
  const given = Buffer.from(String(headers[KEY_HEADER] ?? ''));
  const wanted = Buffer.from(key);
  if (given.length !== wanted.length || !timingSafeEqual(given, wanted)) {
    throw new Refusal(
      401,
      'The key is missing or wrong: open the address that the command printed.',
    );
  }
}

/** A request's JSON. @throws Refusal when it is none or larger than `most` bytes */
export async function readJson(request: IncomingMessage, most: number): Promise<unknown> {
  if (!/^application\/json\b/u.test(request.headers['content-type'] ?? '')) {
    throw new Refusal(415, 'Expected JSON.');
  }
  const tooLarge = () => new Refusal(413, `Expected at most ${most} bytes.`);
  if (Number(request.headers['content-length'] ?? 0) > most) throw tooLarge();
  const parts: Buffer[] = [];
  let length = 0;
  for await (const part of request as AsyncIterable<Buffer>) {
    length += part.length;
    if (length > most) throw tooLarge();
    parts.push(part);
  }
  try {
    return JSON.parse(Buffer.concat(parts).toString('utf8')) as unknown;
  } catch {
    throw new Refusal(400, 'Expected JSON.');
  }
}
