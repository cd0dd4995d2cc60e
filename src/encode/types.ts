/** `draft` is for looking at the movement, `final` for delivery. */
export type Quality = 'draft' | 'final';

/**
 * How a frame's bytes lie, rows from the top:
 *
 * - `yuv420p`: planes Y', Cb, Cr, the chroma planes half as wide and high; BT.709, limited range
 *   (Y' = 219 E + 16, C = 224 E + 128), chroma sited left between two rows; a byte a sample.
 * - `yuv420p10le`: the same planes with samples of 10 bits, each the low bits of a 16-bit little-endian
 *   word, the high six 0; limited range of 10 bits: Y' = 876 E + 64 (64 to 940), C = 896 E + 512 (64 to 960).
 * - `rgba`: 4 bytes a pixel, sRGB-encoded, straight alpha.
 * - `rgba64le`: the same with a 16-bit little-endian word, 0 to 65535, for each of the four.
 *
 * Quantisation: ITU-R BT.709-6, item 4.6.
 */
export type PixelFormat = 'yuv420p' | 'yuv420p10le' | 'rgba' | 'rgba64le';

const BYTES_PER_PIXEL = { yuv420p: 1.5, yuv420p10le: 3, rgba: 4, rgba64le: 8 } as const;

/** Sides in pixels (even ones for 4:2:0), and the number of bytes of one frame of that size. */
export const bytesPerFrame = (format: PixelFormat, width: number, height: number): number =>
  width * height * BYTES_PER_PIXEL[format];

export interface ClipWriter {
  /** What `write` takes. */
  readonly pixelFormat: PixelFormat;
  /**
   * Takes the next frame, `bytesPerFrame` bytes; resolves when the next one is welcome and `frame` may
   * be reused.
   *
   * @throws WorkError when the encoder or the disk failed; nothing is left behind then.
   */
  write(frame: Uint8Array): Promise<void>;
  /** Ends the clip and puts it under its name. @throws WorkError as `write`. */
  finish(): Promise<void>;
  /** Stops and removes everything written so far; harmless after an end of any kind. */
  abort(): Promise<void>;
}
