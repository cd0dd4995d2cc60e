import type { PlaneLayout } from './layout.js';

/** How a stream's numbers stand for colour. */
export interface VideoColour {
  readonly matrix: 'bt709' | 'bt601' | 'bt2020';
  readonly range: 'limited' | 'full';
  readonly primaries: 'bt709' | 'bt2020';
  /** Where a chroma sample lies among its luma samples, in luma samples from the first one's centre. */
  readonly site: readonly [across: number, down: number];
}

/** What is in a video file, as far as a master needs it. */
export interface VideoFacts {
  readonly file: string;
  /** As displayed, in texels. */
  readonly width: number;
  readonly height: number;
  /** ffmpeg's name. */
  readonly codec: string;
  /** Frames per second, the mean. */
  readonly fps: number;
  /** Whether frames last differently long. */
  readonly variable: boolean;
  /** Seconds from the first frame to the end of the last. */
  readonly duration: number;
  /** Where among the file's streams. */
  readonly index: number;
  /** Seconds: the first frame's time on the file's own clock, and that clock's first instant. */
  readonly start: number;
  readonly clockStart: number;
  /** Seconds that a tick of its clock lasts. */
  readonly tick: number;
  readonly layout: PlaneLayout;
  /** The frames are none of ours and ffmpeg converts them. */
  readonly converted: boolean;
  readonly colour: VideoColour;
  readonly sound?: { readonly codec: string; readonly channels: number };
}
