import { ABOUT_FILE, type MetadataTool, type Tag, type TagEdits } from '../metadata.js';
import { tellsPlace } from './placeNames.js';
import { dropPlaceTexts } from './pngPlace.js';

/** What was done about the place a file's metadata tell. Values are never repeated here. */
export interface PlaceReport {
  /** Tags removed, as `group:name`. */
  readonly removed: readonly string[];
  /** Tags that still tell a place and that could not be removed. */
  readonly remaining: readonly string[];
  /** What else may tell the place, which no program can answer for: a sentence each. */
  readonly unproven: readonly string[];
}

const isPlace = ({ group, name, value }: Tag): boolean =>
  !ABOUT_FILE.includes(group) && tellsPlace(name, value);

/** An empty or zero-only tag tells nothing. */
const tells = ({ value }: Tag): boolean => value !== '' && value !== null;

export const placeTags = (tags: readonly Tag[]): Tag[] => tags.filter(isPlace).filter(tells);

const label = ({ group, name, embedded }: Tag): string =>
  `${group}:${name}${embedded ? ' (inside an embedded picture or track)' : ''}`;

const unique = (labels: readonly string[]): string[] => [...new Set(labels)];

export const labels = (tags: readonly Tag[]): string[] => unique(tags.map(label));

/** The edits that remove every tag that tells a place, where ExifTool can write it. */
export function placeEdits(tags: readonly Tag[]): TagEdits {
  const edits: Record<string, null> = {};
  for (const tag of placeTags(tags)) {
    if (tag.embedded) continue;
    edits[tag.group === 'GPS' ? 'GPS:all' : `${tag.group}:${tag.name}`] = null;
  }
  return edits;
}

const WORDS =
  /^(?:Title|Headline|ObjectName|Caption|Caption-Abstract|Description|ImageDescription|Keywords|Subject|HierarchicalSubject|UserComment|Comment|XPTitle|XPComment|XPSubject|XPKeywords|Instructions|Event)$/;

/** Of QuickTime's handlers, and of Matroska's track types. */
const isSubtitles = ({ name, value }: Tag): boolean =>
  (name === 'HandlerType' && /^(?:text|sbtl|subt|subp)$/.test(String(value))) ||
  (name === 'TrackType' && value === 17);

/** Parts of a file that may hold a place which no tag shows. */
function unprovenParts(tags: readonly Tag[], trailing: number): string[] {
  const words = tags.filter((tag) => WORDS.test(tag.name) && !ABOUT_FILE.includes(tag.group));
  const has = (test: (tag: Tag) => boolean) => tags.some(test);
  const says: string[] = [];
  if (words.length > 0) {
    says.push(`Words that a person wrote may name the place: ${labels(words).join(', ')}.`);
  }
  if (has(({ name }) => name === 'MakerNoteVersion' || name.startsWith('MakerNote'))) {
    says.push("The camera maker's notes are kept; parts of them are documented nowhere.");
  }
  if (
    has(
      ({ group, name }) => /^MPImage/.test(group) || /^(?:Embedded|MotionPhoto|Trailer)/.test(name),
    )
  ) {
    says.push(
      'The file carries further pictures or a video, which may have metadata of their own.',
    );
  }
  if (has(({ name }) => name === 'AttachedFileName')) {
    says.push(
      'Files are attached to it, which may have metadata of their own: leave them out with ffmpeg -map 0:v -map 0:a.',
    );
  }
  if (has(isSubtitles)) {
    says.push(
      'The movie has subtitles, in which some cameras log the flight: leave them out with ffmpeg -map 0:v -map 0:a.',
    );
  }
  if (has(({ name }) => /^(?:MetaFormat|GpmdFormat|CammFormat)$/i.test(name))) {
    says.push(
      'The movie has a track of timed data, which may follow the flight: leave it out with ffmpeg -map 0:v -map 0:a.',
    );
  }
  if (trailing > 0) {
    says.push(
      `${trailing} bytes follow the picture's end (a preview, a gain map, a short video?), which may have metadata of their own.`,
    );
  }
  says.push('The picture itself may show where it was taken: house numbers, signs, skylines.');
  return says;
}

/** Labels of what tells the place in the first of two readings and not in the second. */
export function placesGone(before: readonly Tag[], after: readonly Tag[]): string[] {
  const remaining = labels(placeTags(after));
  return labels(placeTags(before)).filter((label) => !remaining.includes(label));
}

/**
 * What was removed between two readings of the tags, and what stays.
 *
 * @param own labels of what was removed, where ExifTool does not tell it
 * @param trailing bytes after the picture's end
 */
export function placeReport(
  before: readonly Tag[],
  after: readonly Tag[],
  own?: readonly string[],
  trailing = 0,
): PlaceReport {
  const removed = own ?? placesGone(before, after);
  const remaining = labels(placeTags(after));
  return { removed, remaining, unproven: unprovenParts(after, trailing) };
}

/**
 * Groups whose unknown tags ExifTool can only remove all together: a maker's own XMP namespace, a movie's keys, a
 * JPEG's application segments, which only its family 0 tells apart.
 */
const STUBBORN = /^(?:XMP-.*|Keys|APP\d+)$/;

function stubbornEdits(tags: readonly Tag[]): TagEdits {
  const groups = placeTags(tags).filter(({ group, embedded }) => !embedded && STUBBORN.test(group));
  return Object.fromEntries(groups.map(({ group }) => [`${group}:all`, null]));
}

/** Brings back the keys that ExifTool knows, which then tell no place any more. */
const keysKept = (stubborn: TagEdits, copy: string): string[] =>
  'Keys:all' in stubborn ? ['-tagsFromFile', copy, '-Keys:all'] : [];

/** Makes `edits`, some of which remove places, in a copy of `file`, and gives the copy's tags. */
export async function editWithoutPlace(
  tool: MetadataTool,
  copy: string,
  file: string,
  edits: TagEdits,
  extra: readonly string[] = [],
): Promise<Tag[]> {
  // What cannot be removed by itself may go with its group.
  await tool.tryEdit(copy, file, edits, extra);
  let tags = await tool.readDeep(copy);
  if (placeTags(tags).some(({ group }) => group === 'PNG')) {
    await dropPlaceTexts(copy);
    tags = await tool.readDeep(copy);
  }
  if (placeTags(tags).length === 0) return tags;
  const stubborn = stubbornEdits([...tags, ...(await tool.read(copy, ['-G0']))]);
  if (Object.keys(stubborn).length === 0) return tags;
  await tool.edit(copy, file, stubborn, [...extra, ...keysKept(stubborn, copy)]);
  return tool.readDeep(copy);
}
