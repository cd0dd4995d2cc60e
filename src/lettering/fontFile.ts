import { readFile } from 'node:fs/promises';
import opentype, { type Font } from 'opentype.js';

/** A font file that texts can be set with. */
export interface FontFile {
  readonly file: string;
  /** As Pango wants it: family and style. */
  readonly name: string;
  /** Characters of a text that the font has no glyph for, each once. */
  missing(text: string): readonly string[];
}

/** Why a font file will not do, to go on after its name. */
export class UnfitFont extends Error {}

/**
 * Reads a TrueType or OpenType font.
 *
 * @throws UnfitFont when it is none, or cannot be read
 */
export async function openFont(file: string): Promise<FontFile> {
  const bytes = await readFile(file).catch(({ code }: NodeJS.ErrnoException) => {
    throw new UnfitFont(code === 'ENOENT' ? 'there is no such file' : `cannot be read (${code})`);
  });
  if (!/^(00010000|74727565|4f54544f)/u.test(bytes.subarray(0, 4).toString('hex'))) {
    throw new UnfitFont('is no TrueType or OpenType font (.ttf, .otf)');
  }
  const font = parsed(bytes);
  return {
    file,
    name: nameOf(font),
    missing: (text) => [
      ...new Set(
        [...text].filter((sign) => sign.trim() !== '' && font.charToGlyphIndex(sign) === 0),
      ),
    ],
  };
}

function parsed(bytes: Buffer): Font {
  try {
    return opentype.parse(Uint8Array.from(bytes).buffer);
  } catch (error) {
    throw new UnfitFont(`is a damaged font (${(error as Error).message.trim()})`);
  }
}

function nameOf({ names }: Font): string {
  const table = names.windows ?? names.unicode ?? names.macintosh ?? {};
  const of = (...keys: string[]) => {
    for (const key of keys) {
      const list = table[key];
      const word = list?.en ?? Object.values(list ?? {})[0];
      if (word) return word;
    }
    return '';
  };
  const family = of('preferredFamily', 'fontFamily');
  if (family === '') throw new UnfitFont('is a font without a name');
  return `${family} ${of('preferredSubfamily', 'fontSubfamily')}`.trim();
}
