import type { IncomingMessage, ServerResponse } from 'node:http';
import type { Session } from './session.js';

/** Between signs of life, in ms. */
const PULSE = 2000;
/** States follow each other no faster than this, in ms. */
const PAUSE = 40;

/**
 * Sends the state, now and whenever it changes, one JSON a line; an empty line is a sign of life. The page
 * reads it with fetch, which, other than an event source, can carry the key.
 */
export function openStream(
  request: IncomingMessage,
  response: ServerResponse,
  session: Session,
): void {
  response.writeHead(200, { 'Content-Type': 'application/x-ndjson; charset=utf-8' });
  let waiting: NodeJS.Timeout | undefined;
  const send = () => {
    waiting = undefined;
    response.write(`${JSON.stringify(session.state)}\n`);
  };
  const stopListening = session.listen(() => {
    waiting ??= setTimeout(send, PAUSE);
  });
  const pulse = setInterval(() => response.write('\n'), PULSE);
  const end = () => {
    clearInterval(pulse);
    clearTimeout(waiting);
    stopListening();
  };
  request.once('close', end);
  response.once('close', end);
  send();
}
