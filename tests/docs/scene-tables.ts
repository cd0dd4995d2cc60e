import { moves } from '../../src/moves/index.js';
import { sceneJsonSchema } from '../../src/scene/json-schema.js';
import { takesOf, usualOf } from '../../src/scene/moves/fields.js';
import { BALL_DEFAULTS } from '../../src/timeline/ball.js';
import { DEFAULT_FOV, DEFAULT_PROJECTION } from '../../src/timeline/sample.js';
import { table } from './generated.js';

interface Field {
  readonly description?: string;
  readonly type?: string | readonly string[];
  readonly enum?: readonly string[];
  readonly pattern?: string;
  readonly anyOf?: readonly Field[];
  readonly oneOf?: readonly Field[];
  readonly items?: Field | readonly Field[];
  readonly additionalProperties?: Field | boolean;
  readonly minimum?: number;
  readonly maximum?: number;
  readonly exclusiveMinimum?: number;
  readonly exclusiveMaximum?: number;
  readonly minItems?: number;
  readonly maxItems?: number;
  readonly const?: string;
  readonly $ref?: string;
  readonly properties?: Readonly<Record<string, Field>>;
  readonly required?: readonly string[];
}

const UNITS: Readonly<Record<string, string>> = {
  duration: 'seconds',
  dissolve: 'seconds',
  planet: 'seconds',
  turns: 'turns',
  fps: 'frames per second',
  at: 'seconds',
  from: 'seconds',
  to: 'seconds',
  shows: 'seconds',
  sceneLength: 'seconds',
  yaw: 'degrees',
  north: 'degrees',
  heading: 'degrees',
  pitch: 'degrees',
  roll: 'degrees',
  fov: 'degrees',
  fade: 'seconds',
  start: 'seconds',
  fadeIn: 'seconds',
  fadeOut: 'seconds',
  gain: 'decibels',
  distance: 'radii of the sphere',
};

/** What a channel is where no keyframe sets it: nothing that a schema can say. */
const NEVER_SET: Readonly<Record<string, string>> = {
  yaw: '0',
  pitch: '0',
  roll: '0',
  fov: String(DEFAULT_FOV),
  projection: DEFAULT_PROJECTION,
};

/** Descriptions that only repeat a table of the README. */
const ELSEWHERE: Readonly<Record<string, string>> = {
  shape: "The frame's size: the README has the [table of shapes](../README.md#shapes).",
  projection:
    'How the sphere is laid flat: the README has the [table of projections](../README.md#projections).',
};

/** The tables of scenes/README.md, by name, out of the scene's JSON Schema. */
export function sceneTables(): Record<string, string> {
  const scene = sceneJsonSchema() as Field & {
    definitions: { keyframe: Field; move: Field; overlay: Field; shot: Field };
    anyOf: readonly Field[];
  };
  const outputs = scene.properties!.outputs!.items as Field;
  const output = outputs.anyOf!.find(({ properties }) => properties)!;
  const { keyframe, move, overlay, shot } = scene.definitions;
  const entry = scene.properties!.timing!.anyOf!.find(({ items }) => items)!.items as Field;
  const transition = shot.properties!.transition!.anyOf!.find(({ properties }) => properties)!;
  const soundGroup = scene.properties!.sound!.anyOf!.find(({ properties }) => properties)!;
  return {
    'scene fields': fieldTable({
      ...scene,
      // What a file of one shot must say, by keyframes or by moves.
      required: scene.anyOf[0]!.required!.filter((name) =>
        scene.anyOf[1]!.required!.includes(name),
      ),
    }),
    'output fields': fieldTable(output, { background: "the scene's" }),
    'footage fields': fieldTable(scene.properties!.footage!, {}),
    'sound fields': fieldTable(soundGroup, {}),
    'keyframe fields': fieldTable(keyframe),
    'safe fields': fieldTable(output.properties!.safe!, {}),
    'direction fields': fieldTable(scene.properties!.marks!.additionalProperties as Field, {}),
    'overlay fields': fieldTable(overlay),
    'timing fields': fieldTable(entry),
    'shot fields': fieldTable(shot),
    'transition fields': fieldTable(transition, {}),
    'ball fields': fieldTable(scene.properties!.ball!.anyOf!.find(({ properties }) => properties)!),
    'ball place fields': fieldTable(
      keyframe.properties!.ball!,
      Object.fromEntries(Object.entries(BALL_DEFAULTS).map(([name, usual]) => [name, `${usual}`])),
      { size: 'degrees', distance: '' },
    ),
    'move fields': moveFields(move),
    'projection fields': projectionFields(keyframe.properties!.projection!),
  };
}

function fieldTable(
  { properties = {}, required = [] }: Field,
  defaults: Readonly<Record<string, string>> = NEVER_SET,
  units: Readonly<Record<string, string>> = {},
): string {
  return table(
    ['field', 'takes', 'unit', 'default', 'what it says'],
    Object.entries(properties).map(([name, field]) => {
      const { said, usual } = description(field);
      const otherwise = required.includes(name) ? 'must be there' : (defaults[name] ?? usual);
      return [
        `\`${name}\``,
        takes(field),
        units[name] ?? UNITS[name] ?? '',
        otherwise,
        ELSEWHERE[name] ?? said,
      ];
    }),
  );
}

/** What all moves have, by the schema, then the parameters of each, by the registry. */
function moveFields({ anyOf = [] }: Field): string {
  const { at, for: length } = anyOf.flatMap(({ oneOf = [] }) => oneOf)[0]!.properties!;
  const common = Object.entries({ at: at!, for: length! }).map(([name, field]) => {
    const { said, usual } = description(field);
    return ['every move', `\`${name}\``, 'seconds or a timecode', usual, said];
  });
  const own = moves.flatMap(({ name, params }) =>
    Object.entries(params).map(([key, param], index) => {
      const first = param.begin ? ' (where the move begins the clip)' : '';
      const kept = param.kept ? ', or as before' : '';
      const of = index === 0 ? `\`${name}\`` : '';
      return [of, `\`${key}\``, takesOf(param), `${usualOf(param)}${kept}`, param.about + first];
    }),
  );
  return table(['move', 'field', 'takes', 'default', 'what it says'], [...common, ...own]);
}

/** Descriptions end in "Default: ....", which has a column of its own. */
function description({ description: text = '' }: Field): { said: string; usual: string } {
  const usual = /\s*Default: ([^.]+(?:\.\d+)?)\.$/u.exec(text);
  return { said: text.slice(0, usual?.index), usual: usual?.[1] ?? '' };
}

function takes(field: Field): string {
  if (field.$ref) {
    return field.$ref.endsWith('overlay') ? 'a group (below)' : `a ${field.$ref.split('/').at(-1)}`;
  }
  if (field.const) return `\`${field.const}\``;
  if (field.enum) return field.enum.map((name) => `\`${name}\``).join(', ');
  if (field.pattern) return PATTERNS.find(([start]) => field.pattern!.startsWith(start))![1];
  if (field.anyOf) return field.anyOf.map(takes).join(' or ');
  if (isList(field.items)) return `[${field.items.map(takes).join('; ')}]`;
  if (field.items) {
    return `a list of ${field.minItems ?? 0} to ${field.maxItems}: ${takes(field.items)}`;
  }
  if (field.oneOf) return 'a group (below)';
  if (field.additionalProperties) return 'names, each with a direction (below)';
  if (field.properties) return 'a group of fields (below)';
  if (field.type === 'string') return 'text';
  if (field.type === 'boolean') return '`true` or `false`';
  if (Array.isArray(field.type)) return field.type.join(' or ').replace('string', 'text');
  return `number${range(field)}`;
}

const isList = (items: Field['items']): items is readonly Field[] => Array.isArray(items);

/** What the schema's patterns mean, by their start. */
const PATTERNS: readonly (readonly [string, string])[] = [
  ['^#([0-9a-fA-F]{3}|', 'a colour: `#rgb` or `#rrggbb`, in quotes'],
  ['^#', 'a colour: `#rgb`, `#rgba`, `#rrggbb` or `#rrggbbaa`, in quotes'],
  ['^cubic-bezier', '`cubic-bezier(x1, y1, x2, y2)`'],
  ['^\\d+', '`WxH`'],
];

function range({ minimum, maximum, exclusiveMinimum, exclusiveMaximum }: Field): string {
  if (exclusiveMaximum !== undefined) {
    const least =
      exclusiveMinimum === undefined ? `${minimum} to` : `more than ${exclusiveMinimum},`;
    return `, ${least} less than ${exclusiveMaximum}`;
  }
  if (exclusiveMinimum !== undefined) return `, more than ${exclusiveMinimum}, at most ${maximum}`;
  return minimum === undefined ? '' : `, ${minimum} to ${maximum}`;
}

/** The parameters of the projections that have any. */
function projectionFields(field: Field): string {
  const groups = field.anyOf!.flatMap((choice) => choice.oneOf ?? []);
  const rows = groups.flatMap(({ properties = {} }) =>
    Object.entries(properties)
      .filter(([name]) => name !== 'name')
      .map(([name, param]) => {
        const { said, usual } = description(param);
        const projection = `\`${properties.name?.const}\``;
        return [projection, `\`${name}\``, takes(param), UNITS[name] ?? '', usual, said];
      }),
  );
  return table(['projection', 'field', 'takes', 'unit', 'default', 'what it says'], rows);
}
