import { choice } from './fields.js';

/** What sounds with a clip: a video master's own sound, or nothing. */
export type Sound = 'master' | 'none';

export const soundField = choice(['master', 'none']).optional().meta({
  title: 'Sound',
  description:
    "What sounds with the clip: master, a video master's own sound, cut and sped as its pictures are; or none. Default: master.",
});
