import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import sharp from 'sharp';

/** Source Sans 3 (SIL Open Font License 1.1), from the npm package that ships it. */
export const HOUSE_FONT = 'Source Sans 3';

/** For SVG files, which are also opened where the house font is not installed. */
export const FONT_FAMILY = `'${HOUSE_FONT}', 'Segoe UI', 'Helvetica Neue', sans-serif`;

const WEIGHTS = {
  regular: '400Regular/SourceSans3_400Regular.ttf',
  semibold: '600SemiBold/SourceSans3_600SemiBold.ttf',
} as const;

export type HouseWeight = keyof typeof WEIGHTS;

export function houseFontFile(weight: HouseWeight): string {
  const place = createRequire(import.meta.url).resolve('@expo-google-fonts/source-sans-3');
  return join(dirname(place), WEIGHTS[weight]);
}

let ready: Promise<void> | undefined;

/**
 * Makes the house font known to libvips, so that SVG pictures are lettered alike on every machine. Setting
 * a text with a font file is the one way that sharp offers, and the file stays known after it.
 */
export function readyHouseFont(): Promise<void> {
  ready ??= (async () => {
    for (const weight of Object.keys(WEIGHTS) as HouseWeight[]) {
      const text = { text: 'x', font: HOUSE_FONT, fontfile: houseFontFile(weight) };
      await sharp({ text }).raw().toBuffer();
    }
  })();
  return ready;
}
