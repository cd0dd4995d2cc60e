import { type Box, opened } from '../../encode/spherical/boxes.js';
import { editMovieInPlace, readMovie } from '../../encode/spherical/movie.js';
import { InputError } from '../../errors.js';
import { inOneWord, tellsPlace } from './placeNames.js';

/**
 * Texts of a track's own that tell the place: QuickTime's point (File Format Specification, "User data atoms", and
 * as some cameras write it, by ExifTool's tables) and 3GPP's location (TS 26.244, clause 8, from memory).
 */
const POINTS: readonly string[] = ['\xa9xyz', '@xyz', 'loci'];

/** Bytes before an atom's text: its length and its language, 16 bits each. */
const TEXT_HEAD = 4;
/** Bytes before the value of a list's item: the head of its data atom, its type and its language. */
const VALUE_HEAD = 16;

/**
 * Finds what tells the place among the tracks' own texts and keys in an MP4 or MOV, at any depth. ExifTool reads only
 * some of them, and writes those of the movie as a whole.
 *
 * @returns names such as Track1:loci
 * @throws InputError where the movie's header is damaged
 */
export async function trackPlaces(file: string): Promise<string[]> {
  return emptied(await readMovie(file));
}

/** Empties all that in a copy of ours: a free box of the same size takes the place of each, so nothing moves. */
export async function clearTrackPlaces(copy: string): Promise<void> {
  await editMovieInPlace(copy, emptied);
}

/** Takes the name of a text or key that tells the place. */
type Find = (name: string) => void;

function emptied(moov: Box): string[] {
  const found: string[] = [];
  const tracks = (moov.children ?? []).filter(({ type }) => type === 'trak');
  tracks.forEach((trak, index) => {
    const find: Find = (name) => found.push(`Track${index + 1}:${name}`);
    trak.children = trak.children?.map((child) => cleared(child, find)) ?? [];
  });
  return [...new Set(found)];
}

function cleared(box: Box, find: Find): Box {
  try {
    if (box.type === 'udta') {
      return withChildren(opened(box, 0), (text) => clearedText(text, find));
    }
    if (box.type === 'meta') return clearedList(box, find);
  } catch (error) {
    // What is no list of boxes is left as it is, and what it tells is said.
    if (!(error instanceof InputError)) throw error;
  }
  return HOLDERS.includes(box.type) ? withChildren(box, (child) => cleared(child, find)) : box;
}

/** Boxes within a track in which there may be more of its texts. */
const HOLDERS: readonly string[] = ['mdia', 'minf'];

const withChildren = (box: Box, change: (child: Box) => Box): Box => ({
  ...box,
  ...(box.children === undefined ? {} : { children: box.children.map(change) }),
});

function clearedText(box: Box, find: Find): Box {
  if (box.type === 'meta') return cleared(box, find);
  const text = box.body.toString('latin1', TEXT_HEAD).replace(/\0+$/u, '');
  if (!POINTS.includes(box.type) && !tellsPlace('', text)) return box;
  find(box.type.replace(/^\W/u, ''));
  return free(box);
}

/** A list of metadata, whose items are named by their type or, by number, in a list of keys. */
function clearedList(box: Box, find: Find): Box {
  // MP4 puts version and flags before the boxes, QuickTime does not.
  const meta = opened(box, box.body.toString('latin1', 4, 8) === 'hdlr' ? 0 : 4);
  const keys = keysIn(meta.children?.find(({ type }) => type === 'keys'));
  return withChildren(meta, (child) =>
    child.type === 'ilst'
      ? withChildren(opened(child, 0), (item) => {
          const key = keys[Buffer.from(item.type, 'latin1').readUInt32BE() - 1] ?? '';
          const value = item.body.toString('utf8', VALUE_HEAD);
          const told = POINTS.includes(item.type) || isPlaceKey(key) || tellsPlace('', value);
          if (!told) return item;
          find(key === '' ? item.type.replace(/^\W/u, '') : key);
          return free(item);
        })
      : child,
  );
}

/** Names such as com.example.location.name, of which a maker's own part comes first. */
const isPlaceKey = (key: string): boolean => {
  const parts = key.split('.');
  return parts.some((_, index) => tellsPlace(inOneWord(parts.slice(index).join(' '))));
};

/** Of QuickTime's keys atom: how many, and for each its size, its namespace and its name. */
function keysIn(box: Box | undefined): string[] {
  const names: string[] = [];
  if (box === undefined) return names;
  for (let at = 8; at + 8 <= box.body.length; ) {
    const size = box.body.readUInt32BE(at);
    if (size < 8) break;
    names.push(box.body.toString('utf8', at + 8, at + size));
    at += size;
  }
  return names;
}

const free = (box: Box): Box => ({ ...box, type: 'free', body: Buffer.alloc(box.body.length) });
