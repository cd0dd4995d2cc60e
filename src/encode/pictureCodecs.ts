/** What the pictures of a sequence may be. */
export const PICTURE_CODECS = {
  png: { extensions: ['.png'], depth: 8 },
  'png-16': { extensions: ['.png'], depth: 16 },
  tiff: { extensions: ['.tif', '.tiff'], depth: 8 },
  'tiff-16': { extensions: ['.tif', '.tiff'], depth: 16 },
  jpeg: { extensions: ['.jpg', '.jpeg'], depth: 8 },
} as const satisfies Record<string, { extensions: readonly string[]; depth: 8 | 16 }>;

export type PictureCodecName = keyof typeof PICTURE_CODECS;

export const PICTURE_CODEC_NAMES = Object.keys(PICTURE_CODECS) as PictureCodecName[];

export const isPictureCodec = (name: string): name is PictureCodecName =>
  (PICTURE_CODEC_NAMES as string[]).includes(name);
