import { findFfmpeg } from '../../encode/ffmpeg.js';
import { InputError } from '../../errors.js';
import { DecodeError, type Decoding, type Picture, startDecoding } from './decode.js';
import { frameBytes } from './layout.js';
import type { VideoFacts } from './types.js';

/** A video's frames by time. */
export interface FrameSource {
  /** Of the frames that it gives, in texels. */
  readonly width: number;
  readonly height: number;
  /**
   * The frame shown at that many seconds after the first one's beginning: each stays until the next
   * one's time, the last for ever. Forwards it costs each frame's decoding once; backwards, frames
   * are decoded some at a time and kept, within `KEPT_BYTES`. One call at a time.
   *
   * @returns the frame; its `data` holds until the next call
   * @throws InputError where the file is damaged
   */
  frameAt(seconds: number): Promise<VideoFrame>;
  close(): Promise<void>;
}

export interface VideoFrame {
  /** Seconds after the first frame's beginning. */
  readonly time: number;
  readonly data: Uint8Array;
}

export interface FrameOptions {
  /** Size at which frames are wanted, where not at their own: for drafts, scaled by ffmpeg. */
  readonly size?: { readonly width: number; readonly height: number };
  readonly ffmpeg?: string;
}

/** Memory for frames that may be asked for again on the way back. */
const KEPT_BYTES = 2 ** 28;
const MOST_KEPT = 64;

/** Farther ahead than this, in seconds, looking for a key frame beats decoding all that lies between. */
const WORTH_SEEKING = 4;

/** Seconds before a time at which decoding begins, so that the frame shown then comes. */
const RUN_UP = 0.25;

export async function openFrames(
  facts: VideoFacts,
  { size = facts, ffmpeg }: FrameOptions = {},
): Promise<FrameSource> {
  const found = await findFfmpeg(ffmpeg);
  const { width, height } = size;
  const bytes = frameBytes(facts.layout, width, height);
  const most = Math.max(2, Math.min(MOST_KEPT, Math.floor(KEPT_BYTES / bytes)));
  // A clock that ticks coarsely tells times only to half a tick; Matroska's ticks are milliseconds.
  const nearly = Math.min(facts.tick / 2, 0.0006) + 1e-6;

  let decoding: Decoding | undefined;
  /** Frames in order, the last one followed by `next`. */
  let kept: Picture[] = [];
  let next: Picture | undefined;
  let keep = 1;

  const restart = async (time: number | undefined) => {
    await decoding?.close();
    kept = [];
    decoding = startDecoding({
      ...{ file: facts.file, ffmpeg: found, index: facts.index, bytes },
      format: facts.layout.format,
      filters: filtersFor(facts, size),
      ...(time === undefined ? {} : { from: time - facts.clockStart }),
    });
    next = await decoding.next();
  };

  /** Begins so that the first frame that comes is shown at `time` at the latest. */
  const seek = async (time: number, runUp: number): Promise<void> => {
    const begin = time - runUp;
    if (begin <= facts.start) return restart(undefined);
    await restart(begin);
    // Beyond the end, or in a frame that lasts longer than the run-up.
    if (next === undefined || next.time > time + nearly) await seek(time, 4 * runUp + 1);
  };

  const advance = async () => {
    kept.push(next!);
    if (kept.length > keep) decoding!.reuse(kept.shift()!.data);
    next = await decoding!.next();
  };

  const locate = async (time: number): Promise<Picture> => {
    const isBefore = kept[0] !== undefined && kept[0].time > time + nearly;
    const isFarAhead = next !== undefined && time - next.time > WORTH_SEEKING;
    if (decoding === undefined || isFarAhead) await seek(time, RUN_UP);
    else if (isBefore) {
      // On the way back: the frames before this one are wanted next.
      keep = most;
      await seek(time, Math.max(RUN_UP, (most - 2) / facts.fps));
    }
    while (next !== undefined && (kept.length === 0 || next.time <= time + nearly)) await advance();
    const shown = kept.findLast((frame) => frame.time <= time + nearly) ?? kept[0];
    if (shown === undefined) throw new DecodeError('no frame could be decoded');
    return shown;
  };

  return {
    width,
    height,
    async frameAt(seconds) {
      try {
        const { time, data } = await locate(facts.start + Math.max(0, seconds));
        return { time: time - facts.start, data };
      } catch (error) {
        if (!(error instanceof DecodeError)) throw error;
        const message = `its frames cannot be decoded at ${Number(seconds.toFixed(3))} s (${error.message}): the file is damaged; copy it again from its source, or re-encode it`;
        throw new InputError([{ place: facts.file, path: '', message }]);
      }
    },
    close: async () => decoding?.close(),
  };
}

function filtersFor(
  { width, height, converted }: VideoFacts,
  size: Required<FrameOptions>['size'],
) {
  const scale = [
    ...(size.width === width && size.height === height
      ? []
      : [`w=${size.width}:h=${size.height}:flags=area`]),
    ...(converted ? ['out_color_matrix=bt709:out_range=tv'] : []),
  ];
  return scale.length === 0 ? [] : [`scale=${scale.join(':')}`];
}
