import type { InputError } from '../../errors.js';
import type { Depth, Samples } from '../pixels.js';

/** sRGB-encoded, 0 to 255 a channel. */
export type Rgb = readonly [number, number, number];

export interface DecodeOptions {
  /** What shows through transparent parts. */
  readonly background: Rgb;
  /** Keep 16 bits where the file has more than 8; otherwise they are rounded to 8. */
  readonly keepDepth: boolean;
  /** Texels across that are enough; a JPEG may be decoded at 1/2, 1/4 or 1/8, never below this. */
  readonly maxWidth: number;
  /** Bytes of samples that may be held; pictures of more come in portions, or in strips of so many. */
  readonly stripBytes: number;
  /** The user's `--ffmpeg`, which reads OpenEXR. */
  readonly ffmpeg: string | undefined;
  /** The part that is enough of a picture of that size. */
  readonly part: ((size: Header) => Part | undefined) | undefined;
}

/** A part of a picture. Columns beyond its right edge go on at its left. */
export interface Part extends Header {
  readonly x: number;
  readonly y: number;
}

/** What a file's header says of it. */
export interface Header {
  /** As displayed: EXIF's orientation done. */
  readonly width: number;
  readonly height: number;
}

/** A master's pixels as they come: whole rows from the top, in one or several portions. */
export interface MasterRows {
  readonly width: number;
  readonly height: number;
  readonly depth: Depth;
  /** What of it comes, where only that was asked for and can be had; `width` and `height` are the whole's. */
  readonly part?: Part;
  /** To be taken once; each is good until the next one is asked for. Throws InputError when the picture is damaged. */
  readonly strips: AsyncIterable<Samples>;
}

/** A picture file whose header has been read. */
export interface Source {
  readonly header: Header;
  /** A packet of XMP, where the format has one and there is one. */
  readonly xmp?: Buffer | undefined;
  /** The size that `rows` gives, where that is not the header's. */
  sizeAt?(options: DecodeOptions): Header;
  /** Begins decoding. Very large pictures come in strips, so that they are never held whole. */
  rows(options: DecodeOptions): MasterRows;
}

/** Makes the error for one file from its sentence. */
export type Wrong = (message: string) => InputError;
