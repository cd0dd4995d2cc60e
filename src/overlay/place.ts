import type { OverlayPlace } from '../scene/types.js';

interface Size {
  readonly width: number;
  readonly height: number;
}

/** Margins in pixels. */
export interface Margins {
  readonly top: number;
  readonly bottom: number;
  readonly left: number;
  readonly right: number;
}

/** Where the top left corner of something goes, in whole pixels, so that it lies at its place within margins. */
export function cornerOf(
  place: OverlayPlace,
  size: Size,
  frame: Size,
  { top, bottom, left, right }: Margins,
): { readonly left: number; readonly top: number } {
  const across = place.endsWith('left') ? 0 : place.endsWith('right') ? 1 : 0.5;
  const down = place.startsWith('top') ? 0 : place.startsWith('bottom') ? 1 : 0.5;
  return {
    left: Math.round(left + across * (frame.width - left - right - size.width)),
    top: Math.round(top + down * (frame.height - top - bottom - size.height)),
  };
}

/** Lines of a text hold to the side on which it stands. */
export const alignmentAt = (place: OverlayPlace): 'left' | 'centre' | 'right' =>
  place.endsWith('left') ? 'left' : place.endsWith('right') ? 'right' : 'centre';
