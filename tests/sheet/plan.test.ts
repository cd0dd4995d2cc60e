import { describe, expect, it } from 'vitest';
import { framesOf, planSheet, SPACING } from '../../src/sheet/plan.js';

const VERTICAL = { width: 1080, height: 1920 };
const SQUARE = { width: 1080, height: 1080 };
const LANDSCAPE = { width: 1920, height: 1080 };

describe('the frames of a sheet', () => {
  it('are spread evenly, the first and the last among them', () => {
    expect(framesOf(8, 30, 5)).toEqual([0, 60, 120, 179, 239]);
    expect(framesOf(1, 10, 10)).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8, 9]);
  });

  it('are no more than the clip has', () => {
    expect(framesOf(0.3, 10, 12)).toEqual([0, 1, 2]);
    expect(framesOf(0.1, 10, 12)).toEqual([0]);
  });
});

describe('the plan of a sheet', () => {
  it.each([
    ['vertical', [VERTICAL], 12, undefined],
    ['landscape', [LANDSCAPE], 12, undefined],
    ['square, one', [SQUARE], 1, undefined],
    ['many', [SQUARE], 100, undefined],
    ['three shapes', [VERTICAL, SQUARE, LANDSCAPE], 6, undefined],
    ['columns', [LANDSCAPE], 7, 3],
    ['a strip', [{ width: 8192, height: 512 }], 4, undefined],
  ] as const)(
    'of %s keeps all pictures apart and on the paper, in their own ratio',
    (_, outputs, count, columns) => {
      const { width, height, pictures, cells } = planSheet(outputs, count, columns);
      const boxes = cells.flatMap((list, output) =>
        list.map(({ x, y }) => ({ x, y, ...pictures[output]! })),
      );
      expect(boxes).toHaveLength(count * outputs.length);
      for (const [index, box] of boxes.entries()) {
        expect(box.x).toBeGreaterThanOrEqual(SPACING.margin);
        expect(box.x + box.width).toBeLessThanOrEqual(width - SPACING.margin + 1);
        expect(box.y).toBeGreaterThanOrEqual(SPACING.margin + SPACING.header);
        expect(box.y + box.height + SPACING.caption).toBeLessThanOrEqual(height);
        for (const other of boxes.slice(index + 1)) {
          const apart =
            box.x + box.width < other.x ||
            other.x + other.width < box.x ||
            box.y + box.height + SPACING.caption <= other.y ||
            other.y + other.height + SPACING.caption <= box.y;
          expect(apart).toBe(true);
        }
      }
      for (const [index, picture] of pictures.entries()) {
        const { width, height } = outputs[index]!;
        expect(picture.width % 2).toBe(0);
        expect(picture.height % 2).toBe(0);
        // Rounded to even sides.
        expect(Math.abs(picture.width - (picture.height * width) / height)).toBeLessThan(
          1 + width / height,
        );
      }
    },
  );

  it('makes one shape a page that is wider than high, and takes columns as asked', () => {
    for (const shape of [VERTICAL, SQUARE, LANDSCAPE]) {
      const { width, height } = planSheet([shape], 12);
      expect(width / height).toBeGreaterThan(1);
      expect(width / height).toBeLessThan(2.5);
    }
    const { cells } = planSheet([LANDSCAPE], 7, 3);
    expect(new Set(cells[0]!.map(({ x }) => x)).size).toBe(3);
    expect(new Set(cells[0]!.map(({ y }) => y)).size).toBe(3);
  });
});
