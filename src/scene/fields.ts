import { z } from 'zod';
import { complaint, didYouMean, listed } from './words.js';

/** Angles may run past a full turn, so that 720 is two turns. */
const LARGEST_ANGLE = 3600;

/** The error option of a zod type: every fault of it is told in these words. */
export const says = (takes: string, options: readonly string[] = []) => ({
  error: ({ input }: { readonly input?: unknown }) =>
    complaint(takes, input) + didYouMean(input, options),
});

/** A field written as `input` and read by `parse`, which yields undefined for what it can't take. */
export const parsed = <I, T>(
  input: z.ZodType<I, I>,
  takes: string,
  parse: (value: I) => T | undefined,
  options: readonly string[] = [],
) =>
  input.transform((value, context): T => {
    const result = parse(value);
    if (result !== undefined) return result;
    context.addIssue({ code: 'custom', message: says(takes, options).error({ input: value }) });
    return z.NEVER;
  });

export const numberOrText = (takes: string) => z.union([z.number(), z.string()], says(takes));

/** Names that editors complete, or another text of the given pattern. */
export const nameOr = (names: readonly string[], pattern: string, takes: string) =>
  z.union([z.enum(names), z.string().meta({ pattern })], says(takes, names));

export const angle = (title: string, description: string) => {
  const takes = `takes degrees from -${LARGEST_ANGLE} to ${LARGEST_ANGLE}`;
  return z
    .number(says(takes))
    .min(-LARGEST_ANGLE)
    .max(LARGEST_ANGLE)
    .optional()
    .meta({ title, description });
};

export const choice = <const T extends readonly string[]>(names: T) =>
  z.enum(names, says(`takes ${listed(names)}`, names));

export const text = (takes: string) => z.string(says(takes)).min(1);

/** A share written as a number or in percent, of which `holds` says whether it is in range. */
export const share = (takes: string, holds: (share: number) => boolean) =>
  parsed(numberOrText(takes), takes, (value) => {
    const percent = /^\s*(\d+(?:\.\d*)?|\.\d+)\s*%\s*$/u.exec(String(value))?.[1];
    if (percent === undefined && typeof value !== 'number') return undefined;
    const part = percent === undefined ? Number(value) : Number(percent) / 100;
    return holds(part) ? part : undefined;
  });
