import { lstat, readdir } from 'node:fs/promises';
import { basename, dirname, join, resolve } from 'node:path';
import type { Problem } from '../errors.js';
import { imageFormatOf } from './imageformats.js';
import { PICTURE_CODECS, type PictureCodecName } from './pictureCodecs.js';
import { ending } from './still.js';
import { exists, isFolder, noFolder } from './target.js';

const NUMBER = /%(?:0(\d))?d/;

export interface SequenceFiles {
  /** As the user gave it: a folder (it exists, or ends in a slash), or a pattern with %05d. */
  readonly file: string;
  readonly width: number;
  readonly height: number;
  readonly alpha: boolean;
  readonly overwrite: boolean;
  /** By default the pattern's extension decides, and a folder gets PNG files of 8 bits. */
  readonly codec?: PictureCodecName;
}

/** Where the frames go: files named by `pattern`, in `folder`. */
export interface Place {
  readonly folder: string;
  readonly pattern: string;
  /** The folder is made with the sequence. */
  readonly fresh: boolean;
}

export async function isSequence(file: string): Promise<boolean> {
  return /[/\\]$/.test(file) || NUMBER.test(basename(file)) || (await isFolder(file));
}

export async function placeOf(file: string, codec: PictureCodecName = 'png'): Promise<Place> {
  const isPattern = NUMBER.test(basename(file)) && !/[/\\]$/.test(file);
  if (isPattern) return { folder: resolve(dirname(file)), pattern: basename(file), fresh: false };
  const folder = resolve(file);
  const pattern = `frame-%05d${PICTURE_CODECS[codec].extensions[0]}`;
  return { folder, pattern, fresh: !(await exists(folder)) };
}

/** Everything that keeps the sequence from being written. */
export async function sequenceProblems(files: SequenceFiles): Promise<Problem[]> {
  const { file, overwrite, codec } = files;
  const { folder, pattern, fresh } = await placeOf(file, codec);
  const problem = (message: string): Problem => ({ place: file, path: '', message });
  if (!imageFormatOf(pattern)) {
    return [
      problem(`a sequence is made of .png, .jpg, .webp or .tif files, found ${ending(file)}.`),
    ];
  }
  if (codec && !isNamedFor(codec, pattern)) {
    const message = `${codec} goes into files that end in ${PICTURE_CODECS[codec].extensions.join(' or ')}, found ${ending(file)}.`;
    return [{ place: file, path: '--codec', message }];
  }
  const unclear = patternMessage(pattern);
  if (unclear !== undefined) return [problem(unclear)];
  const parent = fresh ? dirname(folder) : folder;
  if (!(await exists(parent))) return [noFolder(file, parent)];
  if (!(await isFolder(parent))) return [problem(`${parent} is a file, not a folder.`)];
  const there = fresh ? [] : await framesIn(folder, pattern);
  if (overwrite) return foldersAmong(folder, there);
  if (there.length === 0) return [];
  const some = `${there.length} ${there.length === 1 ? 'frame' : 'frames'} of that name`;
  return [
    problem(
      `the folder already holds ${some}: choose another, or add --overwrite to replace them.`,
    ),
  ];
}

/** Frames take the place of files and of links, whatever these point at, but of no folder. */
async function foldersAmong(folder: string, names: readonly string[]): Promise<Problem[]> {
  const facts = await Promise.all(names.map((name) => lstat(join(folder, name))));
  return names
    .filter((_, index) => facts[index]!.isDirectory())
    .map((name) => ({
      place: join(folder, name),
      path: '',
      message: 'is a folder, named as a frame would be: move it, or choose another folder.',
    }));
}

/** What is wrong with a pattern; undefined when nothing is. */
function patternMessage(pattern: string): string | undefined {
  if (!NUMBER.test(pattern.replace(NUMBER, ''))) return undefined;
  return 'a pattern has one place for the number, such as %05d, found several: leave one of them.';
}

const isNamedFor = (codec: PictureCodecName, pattern: string): boolean =>
  PICTURE_CODECS[codec].extensions.some((end) => pattern.toLowerCase().endsWith(end));

/** The frames of that pattern that are in the folder. */
export async function framesIn(folder: string, pattern: string): Promise<string[]> {
  const [number = ''] = NUMBER.exec(pattern) ?? [];
  const [before = '', after = ''] = pattern.split(number);
  return (await readdir(folder)).filter((name) => {
    const found = Number(name.slice(before.length, name.length - after.length));
    return Number.isSafeInteger(found) && name === frameName(pattern, found);
  });
}

export const frameName = (pattern: string, number: number): string =>
  pattern.replace(NUMBER, (_, width = '0') => String(number).padStart(Number(width), '0'));
