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
 * General flash threshold of the Web Content Accessibility Guidelines (WCAG 2.2, W3C), criterion 2.3.1
 * and the definition of "general flash and red flash thresholds".
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
} as const;
