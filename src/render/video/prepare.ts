import { openFrames } from '../../master/video/frames.js';
import type { VideoFacts } from '../../master/video/types.js';
import type { GlContext } from '../context.js';
import type { PrepareOptions } from '../prepare.js';
import { needOf, type View } from './need.js';
import { createVideoTexture, halfOf, type VideoTexture, videoSize } from './videoTexture.js';

/** A video master on the GPU. */
export interface VideoMaster extends VideoTexture {
  /** Makes the frame that is shown at that many seconds into the video the master's picture, as far as a view needs it. */
  showAt(seconds: number, view: View): Promise<void>;
}

/**
 * Readies a video master; nothing is decoded before the first `showAt`.
 *
 * @throws WorkError when the device cannot hold its frames
 */
export function prepareVideo(
  context: GlContext,
  facts: VideoFacts,
  { keepDepth = false, maxWidth = Number.POSITIVE_INFINITY, ffmpeg }: PrepareOptions,
): VideoMaster {
  const depth = keepDepth && facts.layout.bits > 8 ? 16 : 8;
  let size = videoSize(context, facts, depth);
  const isTooLarge = size.width < facts.width;
  // For drafts ffmpeg makes frames smaller, which costs less than to move them whole.
  while (size.width / 2 >= maxWidth) size = halfOf(size);
  const { layout, colour } = facts;
  const texture = createVideoTexture(context, { ...size, layout, colour }, depth);
  const frames = openFrames(facts, { size, ...(ffmpeg === undefined ? {} : { ffmpeg }) });
  // Shows when it is awaited; until then nobody listens.
  frames.catch(() => {});
  let shown: number | undefined;
  return {
    ...texture,
    ...(isTooLarge ? { reducedFrom: { width: facts.width, height: facts.height } } : {}),
    async showAt(seconds, view) {
      const { time, data } = await (await frames).frameAt(seconds);
      const need = needOf(view, texture.layout);
      if (time === shown) texture.complete(need);
      else texture.show(data, need);
      shown = time;
    },
    destroy() {
      texture.destroy();
      frames.then(
        (source) => source.close(),
        () => {},
      );
    },
  };
}
