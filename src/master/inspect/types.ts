import type { Coverage } from './coverage.js';
import type { Highlights } from './highlights.js';
import type { Hole } from './holes.js';
import type { SupportedSize } from './magnification.js';
import type { PoleRow, Seam } from './seam.js';
import type { Specks } from './specks.js';

/** `unproven`: nothing in the file can show whether it is true. */
export type Verdict = 'true' | 'false' | 'missing' | 'unproven';

/** One thing that the file says of itself, beside what was found. */
export interface Claim {
  readonly claim: string;
  /** What the file says; empty when it says nothing. */
  readonly says: string;
  readonly found: string;
  readonly verdict: Verdict;
  /** What to do; empty when nothing. */
  readonly advice: string;
}

/** How far the camera leaned, in degrees; made by another part, which finds the horizon. */
export interface Horizon {
  readonly rollDeg: number;
  readonly pitchDeg: number;
  /** 0 to 1. */
  readonly confidence: number;
}

export interface CameraFacts {
  readonly make?: string;
  readonly model?: string;
  readonly lens?: string;
  readonly focalLength?: string;
  /** As the camera wrote it, with its offset from UTC where known. */
  readonly captured?: string;
  readonly hasPlace: boolean;
}

export interface Inspection {
  readonly file: string;
  readonly bytes: number;
  readonly kind: 'photo' | 'video';
  readonly format: string;
  readonly width: number;
  readonly height: number;
  readonly megapixels: number;
  /** Width over height. */
  readonly aspect: number;
  /** Bits a channel. */
  readonly depth: number;
  /** Only where samples are no codes of 8 or 16 bits: what they are. */
  readonly samples?: string;
  readonly channels: number;
  /** Only of a TIFF: channels beside its colours of which it says none to be transparency; they are left out. */
  readonly unspecified?: number;
  /** Only where its colours are those of a palette. */
  readonly palette?: true;
  readonly colourSpace: string;
  /** The ICC profile's description. */
  readonly profile?: string;
  readonly camera: CameraFacts;
  /** Only of a video: which moment the picture's findings are from, in seconds. */
  readonly frameAt?: number;
  /** Only of a video that its display matrix turns on its side: its size as it is stored. */
  readonly stored?: { readonly width: number; readonly height: number };
  /** Only where there are several: frames of an animation or pages. The findings are the first one's. */
  readonly pages?: number;
  /** Only where EXIF asks to turn it: 2 to 8. Findings are of the picture as it is stored. */
  readonly orientation?: number;
  readonly coverage: Coverage;
  readonly claims: readonly Claim[];
  readonly holes: readonly Hole[];
  /** Only where some of it is not wholly opaque and lies in none of the holes. */
  readonly specks?: Specks;
  /** Of the whole sphere: what is not covered, and holes and specks in what is. */
  readonly missing: { readonly solidAngle: number; readonly percent: number };
  /** Only where the picture goes all round. */
  readonly seam?: Seam;
  readonly poles: { readonly top?: PoleRow; readonly bottom?: PoleRow };
  readonly highlights: Highlights;
  readonly horizon?: Horizon;
  readonly sizes: readonly SupportedSize[];
  /** The grid on which holes and highlights were looked for; seam and poles are read at full size. */
  readonly grid: { readonly width: number; readonly height: number; readonly reduced: boolean };
  /** What to do next, a sentence or command each, in the order to do it. */
  readonly advice: readonly string[];
}
