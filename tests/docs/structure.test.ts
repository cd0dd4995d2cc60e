import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, normalize } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

const sources = fileURLToPath(new URL('../../src/', import.meta.url));

/** What each folder (or file beside them) of src may import from; DEVELOPERS.md has the reasons. */
const MAY_IMPORT: Readonly<Record<string, readonly string[]>> = {
  'errors.ts': [],
  'math.ts': [],
  'colour.ts': ['math.ts'],
  projection: [],
  camera: ['projection', 'scene'],
  timeline: ['camera', 'scene'],
  // The camera moves: of the scene only its types.
  moves: ['camera', 'scene'],
  scene: ['projection', 'camera', 'timeline', 'moves'],
  encode: [],
  cache: ['encode'],
  master: ['projection', 'camera', 'encode'],
  render: ['projection', 'camera', 'scene', 'master', 'encode', 'cache'],
  demo: ['render', 'encode'],
  overlay: ['encode', 'lettering', 'scene'],
  flow: [
    'cache',
    'camera',
    'comfort',
    'encode',
    'lettering',
    'master',
    'overlay',
    'render',
    'scene',
    'timeline',
  ],
  'render.ts': ['encode', 'flow', 'timeline'],
  'check.ts': ['encode', 'flow', 'master', 'scene'],
  lettering: [],
  comfort: ['camera', 'encode', 'flow', 'render', 'scene', 'timeline'],
  'flashes.ts': ['comfort', 'flow', 'scene'],
  chart: ['camera', 'comfort', 'flow', 'lettering', 'projection', 'render', 'scene', 'timeline'],
  'chart.ts': ['chart', 'comfort', 'encode', 'flow', 'lettering', 'scene', 'timeline'],
  'strips.ts': ['encode', 'flow', 'timeline'],
  sheet: ['chart', 'lettering', 'timeline'],
  'sheet.ts': ['chart', 'encode', 'flow', 'lettering', 'scene', 'sheet', 'timeline'],
  browser: ['camera', 'master', 'projection', 'render', 'timeline'],
  preview: [
    ...['projection', 'camera', 'timeline', 'scene', 'master', 'render', 'encode', 'browser'],
    ...['flow', 'overlay', 'render.ts', 'check.ts'],
  ],
  page: [
    ...['browser', 'camera', 'encode', 'flow', 'master', 'projection', 'render', 'scene'],
    'timeline',
  ],
  cli: [
    ...['projection', 'camera', 'timeline', 'moves', 'scene', 'master', 'render', 'encode', 'demo'],
    ...['comfort', 'flow', 'render.ts', 'sheet.ts', 'strips.ts', 'chart.ts', 'flashes.ts'],
    ...['check.ts', 'preview', 'page', 'cache'],
  ],
};

/** What everything may import. */
const LEAVES = /^(errors|math|colour)\.ts$/u;

/** Lines; longer files want to be two. */
const LONGEST = 260;

interface Source {
  readonly path: string;
  readonly text: string;
  readonly folder: string;
  /** Of other files, as paths below src; and of packages. */
  readonly files: readonly string[];
  readonly packages: readonly string[];
  /** Those of `files` of which more than types are taken. */
  readonly values: readonly string[];
}

/** Printing and exiting. */
const LOUD = /\bconsole\.\w+|\bprocess\.(stdout|stderr|exit|exitCode)\b/gu;

const IMPORT =
  /(?:^(import|export)( type)?\s[^'";]*?from\s+|^import\s+|import\(|require\()'([^']+)'/gmu;

function read(path: string): Source {
  const text = readFileSync(join(sources, path), 'utf8');
  const imports = [...text.matchAll(IMPORT)].map(([, , type, from]) => ({ type, from: from! }));
  const local = imports.filter(({ from }) => from.startsWith('.'));
  const place = ({ from }: { from: string }) =>
    normalize(join(dirname(path), from))
      .replaceAll('\\', '/')
      .replace(/\.js$/u, '.ts');
  return {
    path,
    text,
    folder: folderOf(path),
    files: local.map(place),
    values: local.filter(({ type }) => !type).map(place),
    packages: imports.map(({ from }) => from).filter((from) => !from.startsWith('.')),
  };
}

const folderOf = (path: string): string => path.split('/')[0]!;

const files = readdirSync(sources, { recursive: true, encoding: 'utf8' })
  .map((path) => path.replaceAll('\\', '/'))
  .filter((path) => path.endsWith('.ts'))
  .map(read);

const inFolders = (...names: string[]) => files.filter(({ folder }) => names.includes(folder));

describe('the sources', () => {
  it('are read at all', () => {
    expect(files.length).toBeGreaterThan(100);
    const unknown = files.filter(({ folder }) => !(folder in MAY_IMPORT));
    expect(unknown.map(({ path }) => path)).toEqual([]);
    const flow = files.find(({ path }) => path === 'render.ts');
    expect(flow?.files).toContain('flow/studio.ts');
    expect(files.find(({ path }) => path === 'flow/exposures.ts')?.values).not.toContain(
      'camera/types.ts',
    );
  });

  it('import one way only', () => {
    const wrong = files.flatMap(({ path, folder, files: others }) =>
      others
        .filter((other) => {
          const to = folderOf(other);
          return to !== folder && !LEAVES.test(to) && !MAY_IMPORT[folder]?.includes(to);
        })
        .map((other) => `${path} imports ${other}`),
    );
    expect(wrong).toEqual([]);
  });

  it('import in no circle', () => {
    const sources = new Map(files.map((file) => [file.path, file]));
    const done = new Set<string>();
    const circles: string[] = [];
    const visit = (path: string, way: readonly string[]): void => {
      if (way.includes(path)) {
        circles.push([...way.slice(way.indexOf(path)), path].join(' > '));
        return;
      }
      if (done.has(path)) return;
      for (const next of sources.get(path)?.values ?? []) visit(next, [...way, path]);
      done.add(path);
    };
    for (const { path } of files) visit(path, []);
    expect(circles).toEqual([]);
  });

  it('of camera, moves and timeline take from the scene nothing but its types', () => {
    const taken = inFolders('camera', 'moves', 'timeline', 'render').flatMap(({ path, values }) =>
      values.filter((other) => other.startsWith('scene/')).map((other) => `${path}: ${other}`),
    );
    expect(taken).toEqual([]);
  });

  it('of projection, camera, moves and timeline touch neither files nor GL', () => {
    const packages = inFolders('projection', 'camera', 'moves', 'timeline', 'math.ts').flatMap(
      ({ path, packages }) => packages.map((name) => `${path}: ${name}`),
    );
    expect(packages.filter((line) => !line.endsWith(': gl-matrix'))).toEqual([]);
  });

  it('below the command line neither print nor exit', () => {
    const loud = (list: readonly Source[]) =>
      list.flatMap(({ path, text }) =>
        [...text.matchAll(LOUD)].map(([what]) => `${path}: ${what.trim()}`),
      );
    expect(loud(files.filter(({ folder }) => folder !== 'cli'))).toEqual([
      // The text of a child process's program.
      'render/backend.ts: process.exit',
    ]);
    expect(loud(inFolders('cli')).length).toBeGreaterThan(5);
  });

  it(`are at most ${LONGEST} lines long`, () => {
    const long = files
      .map(({ path, text }) => ({ path, lines: text.split('\n').length - 1 }))
      .filter(({ lines }) => lines > LONGEST);
    expect(long).toEqual([]);
  });
});
