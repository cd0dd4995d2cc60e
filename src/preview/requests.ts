import { z } from 'zod';
import { QUALITIES } from '../render/quality.js';
import { Refusal } from './safety.js';

/** What the page may send, checked as anything that comes in over a wire. */

const step = z.union([z.string().max(100), z.number().int().min(0).max(100_000)]);

/** What of a scene the page changes; what is read or written elsewhere on the disk is not among it. */
const CHANGEABLE = ['keyframes', 'outputs', 'marks', 'duration', 'shots', 'loop', 'path'];
const UNCHANGEABLE = ['file', 'master', 'sound', 'overlays', '$schema'];

const place = z
  .array(step)
  .min(1)
  .max(8)
  .refine(
    (steps) =>
      CHANGEABLE.includes(String(steps[0])) &&
      !steps.some((name) => UNCHANGEABLE.includes(String(name))) &&
      !steps.some((name) => ['__proto__', 'constructor', 'prototype'].includes(String(name))),
    'The page does not change this part of a scene.',
  );

const scalar = z.union([z.string().max(1000), z.number(), z.boolean()]);
const group = z.record(
  z.string().max(100),
  z.union([scalar, z.record(z.string().max(100), scalar)]),
);
const value = z.union([scalar, group]);

const change = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('set'), place, value }),
  z.strictObject({ kind: z.literal('remove'), place }),
  z.strictObject({
    kind: z.literal('insert'),
    list: place,
    index: z.number().int().min(0).max(10_000),
    value: group,
  }),
]);

export const editRequest = z.strictObject({
  revision: z.number().int(),
  label: z.string().max(100),
  changes: z.array(change).min(1).max(200),
});

export const textRequest = z.strictObject({ text: z.string() });
export const undoRequest = z.strictObject({ by: z.union([z.literal(1), z.literal(-1)]) });
export const saveRequest = z.strictObject({ name: z.string().max(200).optional() });
export const shotRequest = z.strictObject({ shot: z.number().int().min(0).max(1000) });
export const momentRequest = z.strictObject({ seconds: z.number().min(0).max(3600) });
export const settleRequest = z.strictObject({ choice: z.enum(['mine', 'disk']) });
export const orderRequest = z.strictObject({
  kind: z.enum(['still', 'clip']),
  shape: z.string().max(40),
  at: z.number().min(0).max(3600),
  quality: z.enum(QUALITIES as unknown as ['draft', 'final', 'best']),
});
export const nothingRequest = z.strictObject({});

/** @throws Refusal for what is not as `schema` says */
export function expectBody<T>(schema: z.ZodType<T>, body: unknown): T {
  const result = schema.safeParse(body);
  if (result.success) return result.data;
  const [issue] = result.error.issues;
  throw new Refusal(400, `${issue?.path.join('.') ?? ''}: ${issue?.message ?? 'not understood'}`);
}

const WHOLE = /^-?\d{1,7}$/u;

/** Whole numbers of an address's query. @throws Refusal */
export function numbersOf(query: URLSearchParams, names: readonly string[]): number[] {
  return names.map((name) => {
    const text = query.get(name) ?? '';
    if (!WHOLE.test(text)) throw new Refusal(400, `Expected a whole number as ${name}.`);
    return Number(text);
  });
}
