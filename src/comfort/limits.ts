/**
 * Above these, `orbreel check` warns. No standard sets a limit for turning or zooming: these are our
 * choice, on the careful side for a phone held in the hand. What is shown in a headset wants less.
 */
export const COMFORT = {
  /** Degrees per second, of the whole view about any axis. */
  turning: 60,
  /** Doublings (or halvings) of the picture's size in its middle, per second. */
  zooming: 1.25,
} as const;

/**
 * General flash and red flash thresholds of the Web Content Accessibility Guidelines (WCAG 2.2, W3C), criterion
 * 2.3.1 and the definition of "general flash and red flash thresholds".
 */
export const FLASH = {
  /** No more flashes than this in any one second. */
  perSecond: 3,
  /** A flash is a pair of opposing changes of relative luminance of this much or more ... */
  change: 0.1,
  /** ... where the darker image lies below this. */
  darkerBelow: 0.8,
  /** The screen on which a rectangle of these pixels stands for a visual field of 10 degrees. */
  screen: { width: 1024, height: 768 },
  field: { width: 341, height: 256 },
  /** Flashes that fill no more than this share of every such field are below the threshold. */
  share: 0.25,
  /**
   * A pair of opposing transitions involving a saturated red, by the working definition of WCAG 2.0 and 2.1: of
   * linear R, G and B from 0 to 1, either state has R / (R + G + B) >= `saturated`, and (R - G - B) x `scale`,
   * negative values set to 0, changes by more than `change`. WCAG 2.2 words the change as a distance of colours
   * (0.2 in the CIE 1976 UCS diagram), which black has none of; from full red, both take all that is no red.
   */
  red: { saturated: 0.8, scale: 320, change: 20 },
} as const;
