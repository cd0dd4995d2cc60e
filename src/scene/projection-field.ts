import { z } from 'zod';
import type { ProjectionChoice } from '../camera/types.js';
import { projectionNames, projections } from '../projection/index.js';
import type { ParamInfo } from '../projection/types.js';
import { says } from './fields.js';
import { listed } from './words.js';

const takes = `takes a projection: ${listed(projectionNames)}`;

const param = ({ about, min, max, default: usual }: ParamInfo) =>
  z
    .number(says(`takes a number from ${min} to ${max}`))
    .min(min)
    .max(max)
    .optional()
    .meta({ description: `${about} Default: ${usual}.` });

/** `{name: ..., param: ...}`, one variant for each projection of the registry. */
const variants = projections.map(({ name, params }) =>
  z.strictObject({
    name: z.literal(name),
    ...Object.fromEntries(params.map((info) => [info.name, param(info)])),
  }),
);

type Variant = (typeof variants)[number];

/** A projection's parameters, those left out filled in. */
function choose(name: string, given: Readonly<Record<string, unknown>>): ProjectionChoice {
  const infos = projections.find((projection) => projection.name === name)?.params ?? [];
  const params = infos.map((info) => [info.name, Number(given[info.name] ?? info.default)]);
  return { name, params: Object.fromEntries(params) };
}

const nameIn = (group: unknown): unknown => (group as { name?: unknown } | undefined)?.name;

/** A projection's name, or a group with its name and parameters. */
export const projectionField = z
  .union([
    z.enum(projectionNames, says(takes, projectionNames)),
    z.discriminatedUnion('name', variants as [Variant, ...Variant[]], {
      error: ({ input }) => says(takes, projectionNames).error({ input: nameIn(input) }),
    }),
  ])
  .transform((value) => (typeof value === 'string' ? choose(value, {}) : choose(value.name, value)))
  .meta({
    title: 'Projection',
    description: `How the sphere is laid flat: ${projections.map(({ name, goodFor }) => `${name} (${goodFor})`).join('; ')}. Default: rectilinear.`,
  });
