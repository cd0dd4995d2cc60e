import { frameCount } from '../timeline/frames.js';

/** Pixels of a sheet's parts. */
export const SPACING = { margin: 48, gap: 20, header: 96, caption: 46, shapeName: 30 } as const;

/** The widest a sheet wants to be. */
const WIDTH = 2000;

export interface Cell {
  /** Of the picture's top left corner. */
  readonly x: number;
  readonly y: number;
}

/** Where everything goes on a contact sheet, in pixels. */
export interface Plan {
  readonly width: number;
  readonly height: number;
  /** Size of each output's pictures; both sides even. */
  readonly pictures: readonly { readonly width: number; readonly height: number }[];
  /** Place of each picture: first by output, then by frame. */
  readonly cells: readonly (readonly Cell[])[];
}

/** Numbers of `count` frames spread evenly over a clip, its first and its last among them. */
export function framesOf(duration: number, fps: number, count: number): number[] {
  const last = frameCount(duration, fps) - 1;
  const wanted = Math.min(count, last + 1);
  if (wanted <= 1) return [0];
  return Array.from({ length: wanted }, (_, index) => Math.round((index * last) / (wanted - 1)));
}

interface Size {
  readonly width: number;
  readonly height: number;
}

/**
 * One output: rows of frames, as many in each as make a sheet a little wider than high. Several: columns
 * of the same instants, the outputs in them side by side, so that one look compares the shapes.
 *
 * @param columns frames side by side, chosen by itself when undefined
 */
export function planSheet(outputs: readonly Size[], count: number, columns?: number): Plan {
  const across = Math.min(count, columns ?? columnsFor(outputs, count));
  const { margin, gap, header, caption, shapeName } = SPACING;
  // All pictures of a group are equally high; its width is that height times the sum of the ratios.
  const ratios = outputs.map(({ width, height }) => width / height);
  const sum = ratios.reduce((total, ratio) => total + ratio, 0);
  const inner = (outputs.length - 1) * (gap / 2);
  const room = (WIDTH - 2 * margin - (across - 1) * gap) / across - inner;
  const high = even(Math.min(640, room / sum));
  const pictures = ratios.map((ratio) => ({ width: even(high * ratio), height: high }));
  const groupWidth = pictures.reduce((total, { width }) => total + width, inner);
  const groupHeight = high + caption + (outputs.length > 1 ? shapeName : 0);
  const rows = Math.ceil(count / across);
  const cells = pictures.map((_, output) => {
    const before = pictures.slice(0, output).reduce((x, { width }) => x + width + gap / 2, 0);
    return Array.from({ length: count }, (_, frame): Cell => {
      const column = frame % across;
      const row = Math.floor(frame / across);
      return {
        x: Math.round(margin + column * (groupWidth + gap) + before),
        y: Math.round(margin + header + row * (groupHeight + gap)),
      };
    });
  });
  return {
    width: Math.round(2 * margin + across * groupWidth + (across - 1) * gap),
    height: Math.round(2 * margin + header + rows * groupHeight + (rows - 1) * gap),
    pictures,
    cells,
  };
}

/** The widest number of columns for which the sheet is no wider than 3:2. */
function columnsFor(outputs: readonly Size[], count: number): number {
  const ratio = outputs.reduce((sum, { width, height }) => sum + width / height, 0);
  for (let columns = 1; columns < count; columns++) {
    // In heights of a picture; the caption takes about a fifth of one.
    if (columns * ratio >= 1.4 * Math.ceil(count / columns) * 1.2) return columns;
  }
  return count;
}

const even = (value: number): number => Math.max(16, 2 * Math.round(value / 2));
