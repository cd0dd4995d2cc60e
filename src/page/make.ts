import { writeFile } from 'node:fs/promises';
import { basename } from 'node:path';
import { fileProblems } from '../encode/target.js';
import { writeWhole } from '../encode/wholeFile.js';
import { InputError } from '../errors.js';
import type { Rgb } from '../master/decode/types.js';
import { checkMaster } from '../master/open.js';
import { isVideo } from '../master/video/kind.js';
import type { Sequence } from '../scene/types.js';
import { folderProblems, TILES, writeFolder } from './folder.js';
import { type EmbeddedTile, pageHtml, readBundle, tileScript } from './html.js';
import { allTiles, isFirst, LEAST_WIDTH, layOutTiles, levelOf, tileName } from './layout.js';
import { sceneMoves } from './moves.js';
import { openingMoves } from './opening.js';
import { endOf, startOf } from './start.js';
import { makeTiles } from './tiles.js';
import { type Moves, type PageData, type StartView, USUAL_TITLE } from './types.js';

/** Texels across that a single file's picture has unless it is told otherwise. */
export const USUAL_WIDTH = 4096;

export interface PageJob {
  /** What to look around in: a master, or a scene, whose moves the page plays first. */
  readonly source: { readonly master: string } | { readonly scene: Sequence };
  /** One file, or a folder for a page with tiles. */
  readonly target: { readonly file: string } | { readonly folder: string };
  /** At most so many texels across; the master's own in a folder, 4096 in a file when left out. */
  readonly width?: number;
  readonly title?: string;
  readonly caption?: string;
  readonly credit?: string;
  /** Where the viewer looks first; what the master or the scene says when left out. */
  readonly start?: StartView;
  readonly overwrite: boolean;
  readonly ffmpeg?: string;
  readonly signal: AbortSignal;
  readonly onProgress?: (share: number) => void;
}

export interface MadePage {
  /** Texels of the picture in it. */
  readonly width: number;
  readonly height: number;
}

/**
 * Makes a page to look around in. Of the master nothing goes into it but its picture.
 *
 * @throws InputError, WorkError; Interrupted when `signal` fires. Nothing half-written stays behind.
 */
export async function makePage(job: PageJob): Promise<MadePage> {
  const { target, overwrite } = job;
  const problems =
    'file' in target
      ? await fileProblems(target.file, overwrite)
      : await folderProblems(target.folder, overwrite);
  if (problems.length > 0) throw new InputError(problems);
  const { master, background } = pictureOf(job.source);
  if (await isVideo(master)) {
    const message =
      'a page shows a picture, and this is a video: save one of its frames as a picture first';
    throw new InputError([{ place: master, path: '', message }]);
  }
  const facts = await checkMaster(master, job.ffmpeg === undefined ? {} : { ffmpeg: job.ffmpeg });
  if (facts.width < LEAST_WIDTH) {
    const message = `expected a master at least ${LEAST_WIDTH} pixels wide, found ${facts.width}`;
    throw new InputError([{ place: master, path: '', message }]);
  }
  const most = job.width ?? ('file' in target ? USUAL_WIDTH : facts.width);
  const picture = layOutTiles(Math.min(most, facts.width));
  const data: PageData = {
    title: job.title ?? USUAL_TITLE,
    caption: job.caption ?? '',
    credit: job.credit ?? '',
    picture,
    ...(await viewsOf(job, master)),
  };
  const bundle = await readBundle();
  const tiles = { ...job, master, background, layout: picture };
  const { width, height } = levelOf(picture, 0);

  if ('folder' in target) {
    await writeFolder(target.folder, overwrite, async (folder) => {
      const first = new Map<string, Buffer>();
      await makeTiles(tiles, async (tile, webp) => {
        if (isFirst(picture, tile)) first.set(tileName(tile), webp);
        else {
          const name = tileName(tile);
          await folder.tile(name, tileScript({ name, data: webp }));
        }
      });
      const embedded = inOrder(picture, first);
      await folder.page(pageHtml({ ...data, tiles: `${TILES}/` }, bundle, embedded, []));
    });
  } else {
    await writeWhole(target.file, overwrite, async (temporary) => {
      const made = new Map<string, Buffer>();
      await makeTiles(tiles, async (tile, webp) => {
        made.set(tileName(tile), webp);
      });
      const all = inOrder(picture, made);
      const count = [...allTiles(picture)].filter((tile) => isFirst(picture, tile)).length;
      await writeFile(temporary, pageHtml(data, bundle, all.slice(0, count), all.slice(count)));
    });
  }
  return { width, height };
}

/** The coarsest first. */
const inOrder = (picture: PageData['picture'], made: ReadonlyMap<string, Buffer>): EmbeddedTile[] =>
  [...allTiles(picture)].flatMap((tile) => {
    const name = tileName(tile);
    const data = made.get(name);
    return data === undefined ? [] : [{ name, data }];
  });

function pictureOf(source: PageJob['source']): { master: string; background: Rgb } {
  const black: Rgb = [0, 0, 0];
  if ('master' in source) return { master: source.master, background: black };
  const { file, shots } = source.scene;
  const masters = [...new Set(shots.map(({ master }) => master))];
  const [first, ...others] = masters;
  if (first === undefined || others.length > 0) {
    const names = masters.map((master) => basename(master)).join(', ');
    const message = `a page shows one master, found ${masters.length} (${names}): make a page of a scene for each`;
    throw new InputError([{ place: file, path: 'shots', message }]);
  }
  const background = shots[0]?.background;
  const colour = background?.kind === 'colour' ? background.colour : black;
  return { master: first, background: [colour[0], colour[1], colour[2]] };
}

async function viewsOf(
  { source, start }: PageJob,
  master: string,
): Promise<{ start: StartView; moves: readonly Moves[] }> {
  if ('scene' in source) {
    const moves = sceneMoves(source.scene);
    return { moves, start: start ?? endOf(moves[0]!) };
  }
  const view = start ?? (await startOf(master));
  return { start: view, moves: openingMoves(view) };
}
