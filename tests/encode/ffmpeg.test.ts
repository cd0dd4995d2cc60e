import { expect, it } from 'vitest';
import { findFfmpeg, passthroughOf, unturnedBy } from '../../src/encode/ffmpeg.js';

/** libavcodec's numbers by FFmpeg's own release notes: 4.4 has 58.134, 5.0 59.18, 5.1 59.37, 6.0 60.3, 7.0 61.3. */
it.each([
  ['58.134.100', '-vsync', 'rotate=0'],
  ['59. 18.100', '-vsync', 'rotate=0'],
  ['59. 37.100', '-fps_mode', 'rotate=0'],
  ['60.  3.100', '-fps_mode', '-display_rotation'],
  ['61.  3.100', '-fps_mode', '-display_rotation'],
])(
  'an ffmpeg with libavcodec %s lets frames through by %s, unturned by %s',
  (version, option, turn) => {
    const about = `ffmpeg version N-1-gabc\n  libavutil      1.  2.  3\n  libavcodec     ${version} / ${version}\n`;
    expect(passthroughOf(about)).toEqual([option, 'passthrough']);
    expect(unturnedBy(about).join(' ')).toContain(turn);
  },
);

it('one that names no libraries is taken for a new one', () => {
  expect(passthroughOf('ffmpeg version x')).toEqual(['-fps_mode', 'passthrough']);
});

it('the one here is asked', async () => {
  expect((await findFfmpeg()).passthrough[1]).toBe('passthrough');
});
