import type { Place } from '../camera/aim.js';
import type { ProjectionParams } from '../projection/types.js';
import type { Footage } from './footage.js';
import type { Safe } from './safe.js';
import type { Sound } from './sound.js';

/** RGBA, each 0 to 255, sRGB-encoded, straight alpha. */
export type Colour = readonly [r: number, g: number, b: number, a: number];

/** What lies outside a projection's picture: a colour (alpha 0 for transparent) or the scene, blurred. */
export type Background =
  | { readonly kind: 'colour'; readonly colour: Colour }
  | { readonly kind: 'blur' };

export type FovSide = 'shorter' | 'longer' | 'horizontal' | 'vertical' | 'diagonal';

/** The way from a keyframe to the next that sets the same channel. */
export type Ease =
  | { readonly kind: 'linear' }
  | { readonly kind: 'hold' }
  | { readonly kind: 'bezier'; readonly points: readonly [number, number, number, number] };

/** A point of interest: where it lies as seen from the master, in degrees. */
export interface Mark {
  readonly name: string;
  readonly yaw: number;
  readonly pitch: number;
}

/** What the ball in the scene is made of. */
export interface BallLook {
  readonly kind: 'mirror' | 'glass';
  /** Of refraction; below 1 it is a bubble in something denser. */
  readonly index: number;
  /** The colour of what the glass lets through, or of what the mirror reflects straight on. */
  readonly tint: Colour;
}

/** Where the ball hovers: channels as those of the camera. */
export interface BallKeyframe {
  /** Degrees, of its centre in the world. */
  readonly yaw?: number;
  readonly pitch?: number;
  /** Degrees that it takes up seen from the distance 1, 0 to less than 180. */
  readonly size?: number;
  /** More than sin(size / 2), its radius. */
  readonly distance?: number;
}

/** Checked and in units: seconds and degrees. A channel left out is interpolated through. */
export interface Keyframe {
  /** Seconds of the scene's own time; without `timing` that is the clip's. */
  readonly at: number;
  readonly yaw?: number;
  readonly pitch?: number;
  readonly roll?: number;
  /** What is to show at `place`. In an output's keyframes yaw and pitch follow from it. */
  readonly look?: Mark;
  /** The frame's centre without it. */
  readonly place?: Place;
  /** A heading's yaw, up to whole turns. In an output's keyframes yaw follows from it. */
  readonly heading?: number;
  readonly fov?: number;
  readonly fovSide?: FovSide;
  readonly projection?: { readonly name: string; readonly params: ProjectionParams };
  readonly ball?: BallKeyframe;
  /** On the first keyframe, when there is a ball in the scene: what it is made of. */
  readonly ballLook?: BallLook;
  readonly ease: Ease;
  /** `shortest` turns along the great circle (slerp) to the next keyframe that sets an angle. */
  readonly turn: 'as-written' | 'shortest';
  /** The way on from here runs through the keyframes without a halt at each; its ease counts for nothing. */
  readonly smooth?: boolean;
  /** The way on from here is turned at one speed, together with its neighbours of which that is said. */
  readonly even?: boolean;
  /** Where the user wrote it, for messages: `keyframes[2]`. */
  readonly path: string;
}

/** From this instant of the clip on, on the way to the next. */
export interface TimingStop {
  /** Seconds of the clip. */
  readonly at: number;
  /** Seconds of the scene's own time. */
  readonly shows: number;
  readonly ease: Ease;
  /** Running through the stops with gradual changes of speed. */
  readonly smooth: boolean;
}

/** Which instant of the scene each instant of the clip shows; see `sceneTime`. */
export interface Timing {
  /** Ascending in `at`, at least one. */
  readonly stops: readonly TimingStop[];
  /** Of the scene's own time, in seconds. */
  readonly length: number;
}

export interface Output {
  /** A shape's name, or `WxH`. */
  readonly shape: string;
  readonly width: number;
  readonly height: number;
  readonly background: Background;
  /** The margins that the scene gives in place of the shape's usual ones. */
  readonly safe?: Partial<Safe>;
  /** The scene's keyframes with this output's overrides merged in by time; at least one, ascending. */
  readonly keyframes: readonly Keyframe[];
  /** Absolute path of the file the scene asks for, if any. */
  readonly file?: string;
}

export type OverlayPlace =
  | `${'top' | 'bottom'}${'' | '-left' | '-right'}`
  | 'left'
  | 'centre'
  | 'right';

/** A title or a mark over the picture. Sizes are shares of the frame's shorter side. */
export type Overlay = {
  /** Seconds: from nothing, to nothing. */
  readonly from: number;
  readonly to: number;
  /** Seconds over which it comes and goes. */
  readonly fade: number;
  readonly place: OverlayPlace;
  /** Of the letters' height or the image's width. */
  readonly size: number;
  /** To the frame's edges; the safe area's without it. */
  readonly margin?: number;
  /** 0 to 1. */
  readonly opacity: number;
  /** Where the user wrote it, for messages: `overlays[0]`. */
  readonly path: string;
} & (
  | {
      readonly kind: 'text';
      readonly text: string;
      readonly colour: Colour;
      readonly shadow: boolean;
      /** Absolute path of a font file; the house font without it. */
      readonly font?: string;
    }
  | {
      readonly kind: 'image';
      /** Absolute path. */
      readonly image: string;
    }
);

/** One shot over one master. */
export interface Scene {
  /** Absolute path of the scene file. */
  readonly file: string;
  readonly name: string;
  /** Absolute path of the master. */
  readonly master: string;
  /** Which part of a video master is shown; undefined for all of it, and for pictures. */
  readonly footage?: Footage;
  readonly sound: Sound;
  /** Of the clip, in seconds. */
  readonly duration: number;
  /** Without it the clip shows the scene as it goes. */
  readonly timing?: Timing;
  /** The frame after the last is the first again. */
  readonly loop?: boolean;
  readonly fps: number;
  /** Degrees of each frame's duration (360) for which it is exposed. */
  readonly shutter: number;
  /** Sharpening after drawing, 0 to 1. */
  readonly sharpen: number;
  /** What outputs without a background of their own have. */
  readonly background: Background;
  readonly marks: readonly Mark[];
  /** The yaw at which north lies, in degrees; undefined where the scene leaves that to its master. */
  readonly north?: number;
  /** The scene's own keyframes, no output's overrides merged in and no look aimed; at least one, ascending. */
  readonly keyframes: readonly Keyframe[];
  readonly outputs: readonly Output[];
  /** Over this shot; times count from its start. */
  readonly overlays: readonly Overlay[];
  /** What was worth a warning when it was read. */
  readonly told?: readonly Warning[];
}

/** Something that is allowed, but may not be meant: told by `orbreel check`, which still ends well. */
export interface Warning {
  /** What of the scene file it is about, as the user would write it: `keyframes[2].look`. */
  readonly path: string;
  /** One sentence that names its shape and times. */
  readonly message: string;
  /** Seconds: the first instant and the last. */
  readonly from?: number;
  readonly to?: number;
}

/** How one shot leads over into the next. Both shots run on while it lasts, so the clip gets shorter by that. */
export type Transition =
  | { readonly kind: 'cut' }
  | {
      readonly kind: 'dissolve';
      /** Seconds, more than 0. */
      readonly duration: number;
    }
  | {
      /** The one view rises and closes into its little planet, the other planet opens into its view. */
      readonly kind: 'planet';
      readonly duration: number;
      /** Of the planet under the camera all in all; negative to the left. */
      readonly turns: number;
      /** Degrees across the frame's shorter side when it is all planet. */
      readonly fov: number;
    };

/** What is delivered of a sequence. */
export interface SequenceOutput {
  /** A shape's name, or `WxH`. */
  readonly shape: string;
  readonly width: number;
  readonly height: number;
  /** Absolute path of the file the scene asks for, if any. */
  readonly file?: string;
  /** Which of every shot's outputs it is made from. */
  readonly index: number;
}

/** What a scene file comes to: one shot, or several one after the other. */
export interface Sequence {
  /** Absolute path of the scene file. */
  readonly file: string;
  readonly name: string;
  /** Seconds, all shots and transitions together. */
  readonly duration: number;
  readonly fps: number;
  /** Of the whole clip; a shot of another scene file may have none of its own besides. */
  readonly sound: Sound;
  readonly outputs: readonly SequenceOutput[];
  /** At least one; all have the same outputs and frame rate. */
  readonly shots: readonly Scene[];
  /** One between each two shots: `transitions[n]` leads from `shots[n]` to `shots[n + 1]`. */
  readonly transitions: readonly Transition[];
}
