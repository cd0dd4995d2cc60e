import { basename, dirname, extname, join } from 'node:path';
import { IMAGE_FORMATS } from '../encode/imageformats.js';
import { levelSize } from '../render/atlas.js';
import { parseShape } from '../scene/shapes.js';
import { freeName, LARGEST_TEXT } from './disk.js';
import { overlaysFor } from './overlays.js';
import { type Edit, MOST_TEXEL_BYTES, type Order, type OverlayState } from './protocol.js';
import {
  editRequest,
  expectBody,
  momentRequest,
  nothingRequest,
  numbersOf,
  orderRequest,
  saveRequest,
  settleRequest,
  shotRequest,
  textRequest,
  undoRequest,
} from './requests.js';
import { Refusal } from './safety.js';
import type { Session } from './session.js';

export interface Write {
  /** Bytes of the request's body. */
  readonly most: number;
  run(session: Session, body: unknown): Promise<void> | void;
}

/** A small request. */
const SMALL = 1 << 16;

/** What the page may ask to be done, by the last part of the address. All of it takes the key. */
export const WRITES: Readonly<Record<string, Write>> = {
  edit: {
    most: 1 << 18,
    run: (session, body) => session.edit(expectBody(editRequest, body) as Edit),
  },
  text: {
    // As JSON a text may be several times as long.
    most: 4 * LARGEST_TEXT,
    run: (session, body) => {
      const { text } = expectBody(textRequest, body);
      if (Buffer.byteLength(text) > LARGEST_TEXT) throw new Refusal(413, 'The text is too long.');
      return session.write(text);
    },
  },
  undo: { most: SMALL, run: (session, body) => session.undo(expectBody(undoRequest, body).by) },
  save: { most: SMALL, run: (session, body) => session.save(expectBody(saveRequest, body).name) },
  shot: {
    most: SMALL,
    run: (session, body) => session.showShot(expectBody(shotRequest, body).shot),
  },
  moment: {
    most: SMALL,
    run: (session, body) => session.showMoment(expectBody(momentRequest, body).seconds),
  },
  settle: {
    most: SMALL,
    run: (session, body) => session.settle(expectBody(settleRequest, body).choice),
  },
  render: { most: SMALL, run: (session, body) => render(session, expectBody(orderRequest, body)) },
  stop: {
    most: SMALL,
    run: (session, body) => {
      expectBody(nothingRequest, body);
      session.works.stop();
    },
  },
};

/** Into the scene's folder, under a name that nothing has. */
async function render(session: Session, { kind, shape, at, quality }: Order): Promise<void> {
  const size = parseShape(shape);
  if ('problem' in size) throw new Refusal(400, size.problem);
  const { scene, file, text, start } = session;
  const output = scene.outputs.find((output) => output.shape === shape);
  const ending = kind === 'still' ? '.png' : clipEnding(output?.file);
  const moment = kind === 'still' ? `-${Number(at.toFixed(3))}s` : '';
  const stem = join(dirname(file), `${basename(file, extname(file))}${ending}`);
  const target = await freeName(stem, `-${size.name}${moment}`);
  const order = { kind, text, sceneFile: file, shape, at: start + at, quality, file: target };
  session.works.start(order, basename(target));
}

/** As the scene's own name for the clip asks for, unless that is a pattern of pictures. */
function clipEnding(file: string | undefined): string {
  const ending = extname(file ?? '').toLowerCase();
  const isPicture = IMAGE_FORMATS.some(({ extensions }) => extensions.includes(ending));
  return ending === '' || isPicture ? '.mp4' : ending;
}

/** What lies over the picture in one of the shapes. */
export async function overlays(session: Session, query: URLSearchParams): Promise<OverlayState[]> {
  const { scene, state } = session;
  const shape = state.shapes.find(({ name }) => name === query.get('shape'));
  if (shape === undefined) throw new Refusal(400, 'There is no such shape.');
  return overlaysFor(scene, shape);
}

/** Raw RGB rows of a part of one level of the master. */
export function texels(session: Session, query: URLSearchParams): Uint8Array {
  const names = ['id', 'level', 'x', 'y', 'width', 'height'];
  const [id, level, x, y, width, height] = numbersOf(query, names) as [
    ...[number, number, number, number, number, number],
  ];
  const levels = session.masters.levelsOf(id);
  if (levels === undefined) throw new Refusal(410, 'That master has gone; a newer one is there.');
  const { layout } = levels;
  if (level < 0 || level >= layout.levels) throw new Refusal(400, 'There is no such level.');
  const size = levelSize(layout, level);
  // A page's tiles may reach some way past the edges.
  const margin = Math.max(layout.tile.width, layout.tile.height) + 8;
  const isWithin =
    [width > 0, height > 0, width * height * 3 <= MOST_TEXEL_BYTES].every(Boolean) &&
    x >= -margin &&
    y >= -margin &&
    x + width <= size.width + margin &&
    y + height <= size.height + margin;
  if (!isWithin) throw new Refusal(400, 'That part lies outside the master or is too large.');
  return levels.read(level, x, y, width, height);
}
