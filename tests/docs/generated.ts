/**
 * The parts of the documents that follow from the code, each between `<!-- generated: NAME -->` and
 * `<!-- end -->`. `npx tsx tests/docs/write-docs.ts` writes them anew.
 */
import { readFileSync } from 'node:fs';
import type { Command } from 'commander';
import { COMMANDS } from '../../src/cli/program.js';
import { CODECS } from '../../src/encode/codecs.js';
import { CONTAINERS } from '../../src/encode/containers.js';
import { IMAGE_FORMATS } from '../../src/encode/imageformats.js';
import { degrees } from '../../src/math.js';
import { moves } from '../../src/moves/index.js';
import { projections } from '../../src/projection/index.js';
import type { Axis, Projection } from '../../src/projection/types.js';
import { usualSafe } from '../../src/scene/safe.js';
import { shapes } from '../../src/scene/shapes.js';
import { shortNumber } from '../../src/scene/words.js';
import { sceneTables } from './scene-tables.js';

export const root = new URL('../../', import.meta.url);

export const documents = ['README.md', 'DEVELOPERS.md', 'scenes/README.md'] as const;

export const readDocument = (name: string): string => readFileSync(new URL(name, root), 'utf8');

const BLOCK = /(<!-- generated: (.+?) -->\n).*?(<!-- end -->)/gsu;

/** The document with every generated part as the code has it now. */
export async function regenerated(text: string): Promise<string> {
  const parts = await generatedParts();
  return text.replace(BLOCK, (_, start: string, name: string, end: string) => {
    const part = parts.get(name);
    if (part === undefined) throw new Error(`No part of the documents is called '${name}'.`);
    return `${start}\n${part}\n\n${end}`;
  });
}

export const namesIn = (text: string): string[] =>
  [...text.matchAll(BLOCK)].map(([, , name]) => name!);

async function generatedParts(): Promise<Map<string, string>> {
  const commands = allCommands();
  const hasCodecOption = commands.some(({ options }) =>
    options.some(({ long }) => long === '--codec'),
  );
  return new Map([
    ['projections', projectionTable()],
    ['moves', moveTable()],
    ['shapes', shapeTable()],
    ['safe areas', safeTable()],
    ['formats', formatTable(hasCodecOption)],
    ...commands.map((command): [string, string] => [
      `options of ${fullName(command)}`,
      optionTable(command),
    ]),
    ...Object.entries(sceneTables()),
  ]);
}

/** A bar would end a table's cell. */
const cell = (text: string): string => text.replaceAll('|', '\\|').replace(/\s+/gu, ' ');

export function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const line = (cells: readonly string[]) => `| ${cells.map(cell).join(' | ')} |`;
  return [line(head), line(head.map(() => '---')), ...rows.map(line)].join('\n');
}

const code = (text: string): string => `\`${text}\``;

function projectionTable(): string {
  return table(
    ['', 'name', 'law', 'largest fov', 'good for'],
    projections.map((projection) => [
      `<img src="examples/pictures/${projection.name}.webp" width="200" alt="${projection.title}">`,
      [projection.name, ...projection.params.map(({ name }) => name)].map(code).join('<br>with '),
      projection.formula,
      largestFov(projection),
      projection.goodFor,
    ]),
  );
}

function moveTable(): string {
  return table(
    ['', ''],
    moves.map(({ name, title, goodFor, params }) => [
      `<img src="examples/pictures/moves/${name}.webp" width="440" alt="Six pictures of the move ${name}">`,
      `${code(name)}<br>${title} Good for ${goodFor}.<br>${Object.keys(params).map(code).join(', ')}`,
    ]),
  );
}

/** In degrees by the usual parameters; one number where all sides have the same. */
function largestFov({ params, fovLimit }: Projection): string {
  const usual = Object.fromEntries(params.map(({ name, default: value }) => [name, value]));
  const axes: readonly Axis[] = ['horizontal', 'vertical', 'diagonal'];
  const limits = axes.map((axis) => {
    const { max, inclusive } = fovLimit(axis, usual);
    return { axis, text: `${inclusive ? '' : 'below '}${shortNumber(degrees(max))}°` };
  });
  if (limits.every(({ text }) => text === limits[0]!.text)) return limits[0]!.text;
  return limits.map(({ axis, text }) => `${axis} ${text}`).join('<br>');
}

function shapeTable(): string {
  return table(
    ['name', 'pixels', ''],
    shapes.map(({ name, width, height, about }) => [code(name), `${width} × ${height}`, about]),
  );
}

function safeTable(): string {
  const percent = (share: number) => (share === 0 ? 'none' : `${shortNumber(100 * share)} %`);
  const rows = shapes.map((shape): string[] => {
    const { top, bottom, left, right } = usualSafe({ ...shape, shape: shape.name });
    return [code(shape.name), ...[top, bottom, left, right].map(percent)];
  });
  return table(['shape', 'top', 'bottom', 'left', 'right'], rows);
}

function formatTable(hasCodecOption: boolean): string {
  const clips = CONTAINERS.map(({ extension, codecs }) => {
    const [usual, ...others] = codecs.map((name) => ({ name, ...CODECS[name] }));
    const choices = hasCodecOption ? others : [];
    const transparent = [usual!, ...choices].filter(({ alpha }) => alpha);
    const all = transparent.length === 1 + choices.length;
    const alpha = all ? 'yes' : transparent.map(({ name }) => code(name)).join(', ') || 'no';
    const names = choices.map(({ name }) => code(name)).join(', ');
    return [code(extension), 'clip', usual!.title, names, alpha];
  });
  const stills = IMAGE_FORMATS.map(({ extensions, title, alpha }) => [
    extensions.map(code).join(', '),
    'still, or the frames of a clip',
    title,
    '',
    alpha ? 'yes' : 'no',
  ]);
  const head = ['ending', 'what', 'usually', 'or, by `--codec`', 'keeps transparency'];
  return table(head, [...clips, ...stills]);
}

/** Every command of the program, in its order; those of a group after it. */
export function allCommands(): Command[] {
  const { signal } = new AbortController();
  const commands = COMMANDS.map(([, build]) => build(signal));
  return commands.flatMap((command) => [command, ...command.commands]);
}

/** `render`, or with the group's name before it: `master inspect`. */
export const fullName = (command: Command): string =>
  command.parent === null ? command.name() : `${command.parent.name()} ${command.name()}`;

function optionTable(command: Command): string {
  if (command.commands.length > 0) return commandTable(command);
  const words = command.registeredArguments.map((argument) => [
    code(argument.name().toUpperCase()),
    argument.description,
  ]);
  const options = command.options.map(({ flags, description }) => [code(flags), description]);
  return table(['', ''], [...words, ...options]);
}

function commandTable(group: Command): string {
  return table(
    ['', ''],
    group.commands.map((command) => [code(fullName(command)), command.description()]),
  );
}
