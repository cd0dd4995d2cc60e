import type { StereoMode } from '../../encode/spherical.js';
import type { ClaimOptions } from './claim.js';
import type { PlaceReport } from './place.js';

export interface MarkOptions extends ClaimOptions {
  /** A photo (JPEG, TIFF, PNG, WebP, AVIF) or a video (MP4, MOV, WebM, Matroska). */
  readonly input: string;
  /** The file to write; left out, the input is replaced, which needs `overwrite`. */
  readonly output?: string;
  readonly overwrite?: boolean;
  /** The picture is flat: remove every claim that it is a sphere, instead of making one. */
  readonly flat?: boolean;
  /** Remove where it was taken from every block of the metadata. */
  readonly stripPlace?: boolean;
  /** How a video's frames hold two eyes; `mono` unless given. */
  readonly stereo?: StereoMode;
}

export interface Change {
  readonly field: string;
  /** As it was; undefined when it was missing. */
  readonly from: string | undefined;
  /** As it is; undefined when it was removed. */
  readonly to: string | undefined;
}

export interface MarkResult {
  readonly file: string;
  readonly kind: 'photo' | 'video';
  /** Whether the file's metadata are other than the input's. */
  readonly changed: boolean;
  readonly changes: readonly Change[];
  /** Only with `stripPlace`. */
  readonly place?: PlaceReport;
  /** What the user should know, a sentence each. */
  readonly notes: readonly string[];
}
