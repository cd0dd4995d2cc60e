import type { CompleteReport, PlacementOptions } from '../complete.js';
import type { Inspection } from '../inspect.js';
import type { HorizonEstimate, LevelReport } from '../level.js';
import type { MarkResult } from '../mark.js';

/** What may be left as it is: holes and what is not covered, or a leaning horizon. */
export type Keep = 'holes' | 'tilt';
export const KEEPS: readonly Keep[] = ['holes', 'tilt'];

export interface FinishOptions {
  /** A photo: JPEG, PNG, TIFF, WebP or AVIF. */
  readonly input: string;
  /** The file to write; its ending chooses the format. Never the input. */
  readonly output: string;
  readonly overwrite?: boolean;
  readonly keep?: readonly Keep[];
  /** Where a partial master lies on the sphere; its own metadata say it otherwise. */
  readonly place?: PlacementOptions;
  /** Compass heading of the picture's centre, 0 to below 360 degrees. */
  readonly heading?: number;
  /** Remove where it was taken from the metadata. */
  readonly stripPlace?: boolean;
  /** Any integer; the same seed fills alike. Default 1. */
  readonly seed?: number;
  /** 1 to 100, of JPEG, WebP and AVIF. Default 95. */
  readonly quality?: number;
  /** Called often: what is being done and the share of the whole, 0 to 1. */
  readonly onProgress?: (step: string, share: number) => void;
  readonly signal?: AbortSignal;
}

/** What came of levelling, and what the picture told of its lean. */
export type LevelStep =
  /** `pose`: the new picture's. */
  | {
      readonly status: 'turned';
      readonly found: HorizonEstimate;
      readonly pose: LevelReport['pose'];
    }
  /** `contradicted`: turned as found, it still did not read as level, so it was left alone. */
  | { readonly status: 'level' | 'unsure' | 'contradicted'; readonly found: HorizonEstimate }
  /** `kept`: as asked; `partial`: only a whole sphere can be levelled. */
  | { readonly status: 'kept' | 'partial' };

export interface FinishReport {
  readonly file: string;
  /** False: the output is the input, byte for byte. */
  readonly changed: boolean;
  /** Whether pixels were worked on, or only metadata. */
  readonly redrawn: boolean;
  readonly before: Inspection;
  /** Undefined when it was whole already, or kept as it is. */
  readonly completed?: CompleteReport;
  readonly levelled: LevelStep;
  readonly mark: MarkResult;
  readonly notes: readonly string[];
}
