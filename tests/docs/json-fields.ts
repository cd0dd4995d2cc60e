import { readDocument } from './generated.js';

/** A field that a command's `--json` prints, as its path: `holes[].centre.latitude`. */
export interface JsonField {
  readonly path: string;
  /** It is documented with another command, which prints it too. */
  readonly borrowed: boolean;
}

/**
 * The fields that the README's tables give for a command, down to those that hold no others. Under `of it` stand
 * the names of what a field holds; or `all of` another command, or some names of one.
 *
 * @param command `master inspect`, or `master` for what all of them print
 */
export function documentedFields(command: string): JsonField[] {
  return rowsOf(command).flatMap(([fields = '', within = '']) =>
    namesIn(fields).flatMap((field) => below(field, within)),
  );
}

function below(field: string, within: string): JsonField[] {
  const [, own = '', kept = '', other] =
    /^(.*?)(?:(?:and )?((?:`[^`]+`(?:, )?)+|all) of `(master \w+)`)?$/u.exec(within) ?? [];
  const held = namesIn(own).map((name) => ({ path: `${field}.${name}`, borrowed: false }));
  if (other === undefined) return held.length > 0 ? held : [{ path: field, borrowed: false }];
  const theirs = documentedFields(other).map(({ path }) => path);
  const borrowed = theirs.flatMap((path) => {
    if (kept === 'all') return [`${field}.${path}`];
    // A list stands for a list of another name; other fields keep theirs.
    const list = namesIn(kept).find((name) => path.startsWith(`${name}[]`));
    if (list !== undefined && field.endsWith('[]')) return [path.replace(`${list}[]`, field)];
    return namesIn(kept).includes(path.split(/[.[]/u)[0]!) ? [`${field}.${path}`] : [];
  });
  return [...held, ...borrowed.map((path) => ({ path, borrowed: true }))];
}

const namesIn = (cell: string): string[] =>
  [...cell.matchAll(/`([^`]+)`/gu)].map(([, name]) => name!);

const HEAD = /^\| field +\| of it +\| what it is +\|$/u;

/** The cells of the table in the command's section. */
function rowsOf(command: string): string[][] {
  const [, section = ''] = readDocument('README.md').split(
    new RegExp(`^#{3,4} orbreel ${command}$`, 'mu'),
  );
  const lines = section.split(/^#/mu)[0]!.split('\n');
  const head = lines.findIndex((line) => HEAD.test(line));
  if (head < 0) throw new Error(`The README has no table of what '${command} --json' prints.`);
  const rows = lines.slice(head + 2);
  const end = rows.findIndex((line) => !line.startsWith('|'));
  return rows.slice(0, end).map((line) =>
    line
      .split('|')
      .slice(1, -1)
      .map((cell) => cell.trim()),
  );
}

/** The paths in a printed value down to what holds nothing else; of a list, those of all its entries. */
export function printedFields(value: unknown, path = ''): string[] {
  if (Array.isArray(value)) {
    const list = `${path}[]`;
    return value.length === 0 ? [list] : value.flatMap((entry) => printedFields(entry, list));
  }
  if (typeof value !== 'object' || value === null) return [path];
  return Object.entries(value).flatMap(([name, entry]) =>
    printedFields(entry, path === '' ? name : `${path}.${name}`),
  );
}
