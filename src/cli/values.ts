/** Parsers of options' texts, for OptionReader: undefined for what is none of theirs. */

export const numberWithin =
  (least: number, most: number) =>
  (text: string): number | undefined => {
    if (!/^[+-]?(?:\d+\.?\d*|\.\d+)$/u.test(text)) return undefined;
    const value = Number(text);
    return value >= least && value <= most ? value : undefined;
  };

export const wholeWithin =
  (least: number, most: number) =>
  (text: string): number | undefined => {
    const value = numberWithin(least, most)(text);
    return Number.isInteger(value) ? value : undefined;
  };

/** `8192x4096` */
export function parseSize(text: string): { width: number; height: number } | undefined {
  const [, width, height] = /^(\d{1,6})[x×](\d{1,6})$/u.exec(text) ?? [];
  return width === undefined ? undefined : { width: Number(width), height: Number(height) };
}

/** `12.5,-3` */
export const parsePair =
  (first: (text: string) => number | undefined, second: (text: string) => number | undefined) =>
  (text: string): readonly [number, number] | undefined => {
    const [a, b, ...more] = text.split(',').map((part) => part.trim());
    const pair = [first(a ?? ''), second(b ?? '')] as const;
    const [x, y] = pair;
    return more.length > 0 || x === undefined || y === undefined ? undefined : [x, y];
  };

/** `#4080c0`, as code values from 0 to 255. */
export function parseHexColour(text: string): readonly [number, number, number] | undefined {
  const digits = /^#([0-9a-f]{6})$/iu.exec(text)?.[1];
  if (digits === undefined) return undefined;
  const code = (at: number) => Number.parseInt(digits.slice(at, at + 2), 16);
  return [code(0), code(2), code(4)];
}

export const oneOf =
  <T extends string>(words: readonly T[]) =>
  (text: string): T | undefined =>
    words.find((word) => word === text);

/** Without what is undefined: options that were not given are to be absent. */
export function given<T extends object>(
  fields: T,
): {
  [K in keyof T]?: Exclude<T[K], undefined>;
} {
  return Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== undefined)) as {
    [K in keyof T]?: Exclude<T[K], undefined>;
  };
}
