import type { Encoder } from './types.js';

export const webpLoop: Encoder = {
  name: 'libwebp_anim',
  hardware: false,
  bitrate: false,
  options: ({ quality }) => [
    // libwebp makes its own BT.601 4:2:0 of it, the only kind that WebP knows.
    ...['-pix_fmt', 'bgra', '-lossless', '0'],
    ...(quality === 'draft'
      ? ['-quality', '75', '-compression_level', '1']
      : ['-quality', '90', '-compression_level', '4']),
  ],
};

/** Its two passes are gif.ts. */
export const gifLoop: Encoder = {
  name: 'gif',
  hardware: false,
  bitrate: false,
  options: () => [],
};
