/** sRGB bytes, as the ground looks in white light. */
export type Rgb = readonly [number, number, number];

/** The colour being mixed; one array for all texels, as this runs some ten million times. */
export const mixed = [0, 0, 0];

/** Lays a colour over the mixed one, 0 (not at all) to 1. */
export function paint(colour: Rgb, share: number): void {
  for (let k = 0; k < 3; k++) {
    const before = mixed[k] as number;
    mixed[k] = before + ((colour[k] as number) - before) * share;
  }
}

/** Makes the mixed colour lighter or darker. */
export function shade(factor: number): void {
  for (let k = 0; k < 3; k++) mixed[k] = (mixed[k] as number) * factor;
}
