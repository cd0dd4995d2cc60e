/** Corners of cover.vert's triangle. */
export const COVER = [
  [-1, -1],
  [3, -1],
  [-1, 3],
];
