import { ABOUT_FILE, type MetadataTool, type Tag, type TagEdits } from '../metadata.js';

/** What was done about the place a file's metadata tell. Values are never repeated here. */
export interface PlaceReport {
  /** Tags removed, as `group:name`. */
  readonly removed: readonly string[];
  /** Tags that still tell a place and that could not be removed. */
  readonly remaining: readonly string[];
  /** What else may tell the place, which no program can answer for: a sentence each. */
  readonly unproven: readonly string[];
}

const PLACE =
  /^GPS|Geo(?:tag|location|position)|Latitude|Long[ti]*tude|Altitude|Coordinates|^Location|^City|^Sub-?location|^Province|^State$|^Country|ContentLocation|WorldRegion|Landmark|PlaceName|^Place$|^GeoTiff|^ModelT(?:iePoint|ransform)/i;

/** Where something lies in the picture, or how a file is laid out, is no place on earth. */
const NO_PLACE = /^Subject(?:Location|Area)|OffsetLocation|^LocationOf|GPSInfo$|GPSVersionID/i;

export function isPlace({ group, name }: Tag): boolean {
  return !ABOUT_FILE.includes(group) && PLACE.test(name) && !NO_PLACE.test(name);
}

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

/**
 * What was removed between two readings of the tags, and what stays.
 *
 * @param trailing bytes after the picture's end
 */
export function placeReport(
  before: readonly Tag[],
  after: readonly Tag[],
  trailing = 0,
): PlaceReport {
  const remaining = labels(placeTags(after));
  const removed = labels(placeTags(before)).filter((label) => !remaining.includes(label));
  return { removed, remaining, unproven: unprovenParts(after, trailing) };
}

/** A maker's own XMP namespace, whose properties ExifTool can only remove together. */
function stubbornEdits(tags: readonly Tag[]): TagEdits {
  const groups = placeTags(tags).filter(
    ({ group, embedded }) => !embedded && group.startsWith('XMP-'),
  );
  return Object.fromEntries(groups.map(({ group }) => [`${group}:all`, null]));
}

/** Makes `edits`, some of which remove places, in a copy of `file`, and gives the copy's tags. */
export async function editWithoutPlace(
  tool: MetadataTool,
  copy: string,
  file: string,
  edits: TagEdits,
  extra: readonly string[] = [],
): Promise<Tag[]> {
  await tool.edit(copy, file, edits, extra);
  const tags = await tool.readDeep(copy);
  const stubborn = stubbornEdits(tags);
  if (Object.keys(stubborn).length === 0) return tags;
  await tool.edit(copy, file, stubborn, extra);
  return tool.readDeep(copy);
}
