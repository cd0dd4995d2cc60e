import { ExifTool } from 'exiftool-vendored';
import { InputError, WorkError } from '../errors.js';

/** One tag as ExifTool names it, its value unformatted (numbers as numbers, booleans as booleans). */
export interface Tag {
  /** ExifTool's family 1 group: IFD0, GPS, XMP-GPano, Track1, ... */
  readonly group: string;
  readonly name: string;
  readonly value: unknown;
  /** Of a picture or track inside the file, which ExifTool reads but cannot write. */
  readonly embedded?: true;
}

/** What to set; null removes the tag, or with the name `all` the whole group. */
export type TagEdits = Readonly<Record<string, string | number | boolean | null>>;

export interface MetadataTool {
  /** Every tag of a file, duplicates too. `extra` are ExifTool's own options. */
  read(file: string, extra?: readonly string[]): Promise<Tag[]>;
  /** Also the tags of pictures and tracks inside the file. */
  readDeep(file: string): Promise<Tag[]>;
  /**
   * Makes `edits` in `copy`, a file of ours, which messages call `file`, as the user knows it. The
   * picture's data are not touched.
   */
  edit(copy: string, file: string, edits: TagEdits, extra?: readonly string[]): Promise<void>;
  /** The same for as many of them as can be written, be it none. */
  tryEdit(copy: string, file: string, edits: TagEdits, extra?: readonly string[]): Promise<void>;
}

/** Marks that ExifTool adds about the file itself or the reading, rather than reads from it. */
export const ABOUT_FILE: readonly string[] = ['System', 'File', 'ExifTool', 'Composite'];

const READ = ['-a', '-G1:3:4', '-n', '-struct', '-api', 'LargeFileSupport=1'];
/** Copying a video of many GB over a slow network takes its time. In milliseconds. */
const LONGEST_TASK = 60 * 60_000;

/**
 * Runs `use` with one ExifTool process, which ends with it: the one that npm brings, or else the
 * system's.
 *
 * @throws WorkError when there is neither, or Perl is missing.
 */
export async function withMetadata<T>(use: (tool: MetadataTool) => Promise<T>): Promise<T> {
  const exiftool = new ExifTool({
    maxProcs: 1,
    taskRetries: 0,
    taskTimeoutMillis: LONGEST_TASK,
    maxProcAgeMillis: LONGEST_TASK,
  });
  try {
    await exiftool.version().catch((error: unknown) => {
      const why = error instanceof Error ? error.message : String(error);
      throw new WorkError(
        `ExifTool does not start (${why}); it needs Perl: install perl, or the package libimage-exiftool-perl`,
      );
    });
    return await use({
      read: (file, extra = []) => readTags(exiftool, file, extra),
      readDeep: (file) => readTags(exiftool, file, ['-ee']),
      async edit(copy, file, edits, extra = []) {
        const unwritten = await writeTags(exiftool, copy, file, edits, extra);
        if (unwritten !== undefined) throw unwritable(file, unwritten);
      },
      async tryEdit(copy, file, edits, extra = []) {
        await writeTags(exiftool, copy, file, edits, extra);
      },
    });
  } finally {
    await exiftool.end();
  }
}

async function readTags(
  exiftool: ExifTool,
  file: string,
  extra: readonly string[],
): Promise<Tag[]> {
  const options = { readArgs: [...READ, ...extra], useMWG: false };
  const raw = await exiftool.readRaw(file, options).catch((error: unknown) => {
    const why = withoutPath(error instanceof Error ? error.message : String(error));
    throw new InputError([
      { place: file, path: '', message: `its metadata cannot be read (${why})` },
    ]);
  });
  return Object.entries(raw as Record<string, unknown>).flatMap(([key, value]) => {
    const parts = key.split(':');
    if (parts.length < 2) return [];
    const tag = { group: parts[0] ?? '', name: parts.at(-1) ?? '', value };
    return [parts.some((part) => /^Doc\d/.test(part)) ? { ...tag, embedded: true as const } : tag];
  });
}

/** Gives what ExifTool said where it has written nothing. */
async function writeTags(
  exiftool: ExifTool,
  copy: string,
  file: string,
  edits: TagEdits,
  extra: readonly string[],
): Promise<string | undefined> {
  const options = { useMWG: false, ignoreMinorErrors: false };
  const writeArgs = ['-n', '-overwrite_original', '-api', 'LargeFileSupport=1', ...extra];
  const result = await exiftool
    .write(copy, edits as Record<string, never>, { ...options, writeArgs })
    .catch((error: unknown) => {
      throw unwritable(file, error instanceof Error ? error.message : String(error));
    });
  if (result.created + result.updated + result.unchanged > 0) return undefined;
  return (result.warnings ?? []).filter((line) => line.startsWith('Warning:')).join('; ');
}

function unwritable(file: string, said: string): InputError {
  const why = withoutPath(said.replace(/(?:Warning|Error): |\[minor\] /gi, ''));
  const message = `its metadata cannot be written (${why}); export it again from its source`;
  return new InputError([{ place: file, path: '', message }]);
}

/** ExifTool ends its sentences with ` - FILE`. */
const withoutPath = (message: string): string => message.replace(/ - [^\n]*$/, '');

/** The first tag of that name in a group, given by name or pattern. */
export function findTag(
  tags: readonly Tag[],
  group: string | RegExp,
  name: string,
): Tag | undefined {
  const inGroup = (tag: Tag) =>
    typeof group === 'string' ? tag.group === group : group.test(tag.group);
  return tags.find((tag) => tag.name === name && inGroup(tag));
}
