import sharp, { type Sharp } from 'sharp';
import { houseFontFile } from '../lettering/house.js';
import type { Colour } from '../scene/types.js';
import type { Raster } from './types.js';

export interface TextLook {
  readonly text: string;
  /** A font that Pango finds in `fontFile`: family and style. */
  readonly font: string;
  readonly fontFile: string;
  /** Of the letters, from baseline to baseline about 1.2 of it; pixels. */
  readonly size: number;
  readonly colour: Colour;
  /** Of the lines to each other. */
  readonly align: 'left' | 'centre' | 'right';
  /** Lines wider than this are broken, in pixels. */
  readonly widest: number;
  /** A soft dark glow behind the letters, so that they read on any ground. */
  readonly shadow: boolean;
}

/** A shadow's softness and offset downwards, in parts of the letters' size, and its darkness. */
const SHADOW = { blur: 0.09, down: 0.04, alpha: 0.55 };

/** The house font's own lines lie far apart for titles; in parts of the letters' size. */
const CLOSER = 0.25;

/** Sets a text: shaped and broken into lines by Pango and HarfBuzz. */
export async function textRaster(look: TextLook): Promise<Raster> {
  const letters = await lettersOf(look);
  if (!look.shadow) return rasterOf(sharp(letters));
  const soft = SHADOW.blur * look.size;
  const room = Math.ceil(3 * soft);
  const down = Math.round(SHADOW.down * look.size);
  const padding = { top: room, bottom: room + down, left: room, right: room };
  const padded = sharp(letters).extend({ ...padding, background: '#0000' });
  const alpha = await sharp(letters)
    .extractChannel('alpha')
    .extend({ ...padding, top: room + down, bottom: room, background: '#0000' })
    .blur(Math.max(0.3, soft))
    .linear(SHADOW.alpha, 0)
    .toColourspace('b-w')
    .raw()
    .toBuffer({ resolveWithObject: true });
  const { width, height } = alpha.info;
  const shadow = sharp({ create: { width, height, channels: 3, background: '#000' } }).joinChannel(
    alpha.data,
    { raw: { width, height, channels: 1 } },
  );
  return rasterOf(
    sharp(await shadow.png().toBuffer()).composite([{ input: await padded.png().toBuffer() }]),
  );
}

/** PNG bytes. */
async function lettersOf({ text, font, fontFile, size, colour, align, widest }: TextLook) {
  const [r, g, b, a] = colour;
  const hex = [r, g, b].map((code) => code.toString(16).padStart(2, '0')).join('');
  const alpha = Math.max(1, Math.round((a / 255) * 65535));
  const markup = `<span foreground="#${hex}" alpha="${alpha}">${escaped(text)}</span>`;
  return sharp({
    text: {
      text: markup,
      font: `${font} ${Math.max(1, Math.round(size))}`,
      fontfile: fontFile,
      rgba: true,
      // Points are pixels then.
      dpi: 72,
      align: align === 'centre' ? 'center' : align,
      width: Math.max(1, Math.round(widest)),
      wrap: 'word-char',
      spacing: fontFile === houseFontFile('semibold') ? Math.round(-CLOSER * size) : 0,
    },
  })
    .png()
    .toBuffer();
}

async function rasterOf(picture: Sharp): Promise<Raster> {
  const { data, info } = await picture
    .ensureAlpha()
    .toColourspace('srgb')
    .raw()
    .toBuffer({ resolveWithObject: true });
  return { rgba: data, width: info.width, height: info.height };
}

const escaped = (text: string): string =>
  text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;');
