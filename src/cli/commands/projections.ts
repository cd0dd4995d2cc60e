import { Command } from 'commander';
import { degrees } from '../../math.js';
import { projections } from '../../projection/index.js';
import type { Axis, FovLimit, Projection, ProjectionParams } from '../../projection/types.js';
import { shortNumber } from '../../scene/words.js';
import { helpAfter } from '../help.js';
import { jsonOption } from '../options.js';
import { asJson, columns, paint, print } from '../terminal.js';

export const projectionsCommand = (): Command =>
  new Command('projections')
    .description('List the projections: formula, field of view, what each is good for, source.')
    .addOption(jsonOption())
    .addHelpText(
      'after',
      helpAfter({
        examples: ['orbreel projections', 'orbreel projections --json | jq .[].name'],
        notes: ['To try one on your master, set it in a keyframe and use `orbreel still`.'],
      }),
    )
    .action(({ json = false }: { readonly json?: boolean }) => {
      const list = projections.map(describe);
      print(json ? asJson(list) : list.map(text).join('\n\n'));
    });

interface Description extends Pick<Projection, 'name' | 'title' | 'formula' | 'params'> {
  /** The largest fields of view along each direction of the frame, in degrees, by default parameters. */
  readonly fov: Readonly<Record<Axis, FovRange>>;
  readonly goodFor: string;
  readonly source: string;
}

interface FovRange {
  readonly moreThan: 0;
  readonly max: number;
  /** Whether `max` itself may be used. */
  readonly inclusive: boolean;
}

function describe(projection: Projection): Description {
  const { name, title, formula, params, goodFor, source } = projection;
  const usual: ProjectionParams = Object.fromEntries(
    params.map((param) => [param.name, param.default]),
  );
  const range = (axis: Axis) => inDegrees(projection.fovLimit(axis, usual));
  const fov = {
    horizontal: range('horizontal'),
    vertical: range('vertical'),
    diagonal: range('diagonal'),
  };
  return { name, title, formula, params, fov, goodFor, source };
}

const inDegrees = ({ max, inclusive }: FovLimit): FovRange => ({
  moreThan: 0,
  max: Number(shortNumber(degrees(max), 6)),
  inclusive,
});

function text({ name, title, formula, params, fov, goodFor, source }: Description): string {
  const rows = [
    ['  formula', formula],
    ['  field of view', fovText(fov)],
    ...params.map((param) => [
      `  ${param.name}`,
      `${param.about}; from ${shortNumber(param.min)} to ${shortNumber(param.max)}, default ${shortNumber(param.default)}`,
    ]),
    ['  good for', goodFor],
    ['  source', source],
  ];
  return `${paint('bold', name)}  ${title}\n${columns(rows)}`;
}

function fovText(fov: Description['fov']): string {
  const limit = ({ max, inclusive }: FovRange) => `${inclusive ? 'up to' : 'less than'} ${max}°`;
  const words = (Object.keys(fov) as Axis[]).map((axis) => [axis, limit(fov[axis])] as const);
  if (words.every(([, word]) => word === words[0]?.[1])) return `${words[0]?.[1]}`;
  return words.map(([axis, word]) => `${word} ${axis}`).join(', ');
}
