import type { AtlasLayout } from '../render/atlas.js';
import type { Safe } from '../scene/safe.js';
import type { Background, Keyframe, Mark, Overlay, Scene } from '../scene/types.js';

/** What server and page say to each other: JSON but for texels, which are raw RGB rows. */

/** The header that carries the key of the page's address. */
export const KEY_HEADER = 'x-orbreel-key';

/** A place in the scene file: `['keyframes', 2, 'yaw']`. */
export type Place = readonly (string | number)[];

/** One change of the scene file. */
export type Change =
  | { readonly kind: 'set'; readonly place: Place; readonly value: unknown }
  | { readonly kind: 'remove'; readonly place: Place }
  | {
      readonly kind: 'insert';
      readonly list: Place;
      readonly index: number;
      readonly value: Readonly<Record<string, unknown>>;
    };

/** Changes that belong together, made to the text of that revision; `label` names them for undo. */
export interface Edit {
  readonly revision: number;
  readonly label: string;
  readonly changes: readonly Change[];
}

export interface LineProblem {
  /** From 1; 0 where no line is to blame. */
  readonly line: number;
  readonly column: number;
  readonly path: string;
  readonly message: string;
}

/** A frame that the page can show. */
export interface ShapeState {
  readonly name: string;
  readonly width: number;
  readonly height: number;
  /** Whether the scene delivers it. */
  readonly isOutput: boolean;
  readonly background: Background;
  /** Shares of its sides that a feed's own controls may cover. */
  readonly safe: Safe;
  /** Absent where they are the scene's own. */
  readonly keyframes?: readonly Keyframe[];
  /** Why the scene's camera does not fit this frame. */
  readonly problem?: string;
}

/** A master's levels as the server holds them; texels are asked for by id and level. */
export interface LevelsState {
  readonly id: number;
  readonly layout: AtlasLayout;
}

export interface MasterState {
  readonly name: string;
  readonly width: number;
  readonly height: number;
  /** The best so far: first a small one, then the whole. */
  readonly levels?: LevelsState;
  /** 0 to 1, of the whole one. */
  readonly read: number;
  /** Of a video: which instant of the shot `levels` show, in seconds. */
  readonly moment?: number;
  readonly problem?: string;
}

export interface WorkState {
  readonly id: number;
  readonly what: string;
  readonly done: number;
  readonly total: number;
  /** `going`, or how it ended. */
  readonly state: 'going' | 'done' | 'stopped' | 'failed';
  /** Where it went, or why it failed. */
  readonly message: string;
}

export interface PageState {
  /** Of the text; grows with every change, whoever made it. */
  readonly revision: number;
  /** The scene file's name, without its folder. */
  readonly name: string;
  readonly folder: string;
  /** Not on the disk yet. */
  readonly isNew: boolean;
  readonly isSaved: boolean;
  readonly text: string;
  readonly problems: readonly LineProblem[];
  /** What the text says, or said when it last was right. */
  readonly scene?: Scene;
  /** Names of the shots, where there are several, and which one `scene` is. */
  readonly shots: readonly string[];
  readonly shot: number;
  /** Where the scene's keyframes are written; empty where that is another file, or they come of moves. */
  readonly list: Place;
  /** The keyframes as written there. */
  readonly written: readonly Readonly<Record<string, unknown>>[];
  readonly marks: readonly Mark[];
  /** Where they are written, or would be. */
  readonly marksPlace: Place;
  readonly shapes: readonly ShapeState[];
  readonly undo?: string;
  readonly redo?: string;
  /** What the file on disk says, where somebody else changed it and the page has changes too. */
  readonly conflict?: string;
  readonly master: MasterState;
  readonly work?: WorkState;
  /** Something that happened, once. */
  readonly note?: string;
}

/** A title or a mark as a picture; place and size are shares of the frame's sides. */
export interface OverlayState extends Pick<Overlay, 'from' | 'to' | 'fade' | 'opacity'> {
  /** A data URL. */
  readonly picture: string;
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

export type ConflictChoice = 'mine' | 'disk';

export interface Order {
  readonly kind: 'still' | 'clip';
  readonly shape: string;
  /** Seconds, of a still. */
  readonly at: number;
  readonly quality: 'draft' | 'final' | 'best';
}

/** Bytes of texels in one answer. */
export const MOST_TEXEL_BYTES = 2 ** 24;
