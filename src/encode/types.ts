/** `draft` is for looking at the movement, `final` for delivery. */
export type Quality = 'draft' | 'final';

/**
 * How a frame's bytes lie, rows from the top:
 * `yuv420p`: planes Y, Cb, Cr, the chroma planes half as wide and high; BT.709, limited range,
 * chroma sited left. `rgba`: 4 bytes a pixel, sRGB-encoded, straight alpha.
 */
export type PixelFormat = 'yuv420p' | 'rgba';

/** Sides in pixels, and the number of bytes of one frame of that size. */
export function bytesPerFrame(format: PixelFormat, width: number, height: number): number {
  return format === 'rgba' ? width * height * 4 : (width * height * 3) / 2;
}

export interface ClipWriter {
  /** What `write` takes. */
  readonly pixelFormat: PixelFormat;
  /**
   * Takes the next frame; resolves when the next one is welcome and `frame` may be reused.
   *
   * @throws WorkError when the encoder or the disk failed; nothing is left behind then.
   */
  write(frame: Uint8Array): Promise<void>;
  /** Ends the clip and puts it under its name. @throws WorkError as `write`. */
  finish(): Promise<void>;
  /** Stops and removes everything written so far; harmless after an end of any kind. */
  abort(): Promise<void>;
}
