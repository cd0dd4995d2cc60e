import { existsSync, readdirSync, statSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { projectionNames } from '../../src/projection/index.js';
import { parseSequence } from '../../src/scene/parse.js';
import {
  allCommands,
  documents,
  fullName,
  namesIn,
  readDocument,
  regenerated,
  root,
} from './generated.js';

const readme = readDocument('README.md');

describe.each(documents)('%s', (name) => {
  const text = readDocument(name);
  const folder = new URL(name, root);

  it('is in step with the code; if not, run: npx tsx tests/docs/write-docs.ts', async () => {
    expect(plain(text)).toBe(plain(await regenerated(text)));
  });

  it('shows scenes that are right', () => {
    for (const [, scene] of text.matchAll(/```yaml\n(.+?)```/gsu)) {
      expect(() => parseSequence(scene!, name), scene!).not.toThrow();
    }
  });

  it('links to files and headings that are there', () => {
    const links = [
      ...text.matchAll(/\]\((?!https?:)([^)#]*)(#[^)]*)?\)/gu),
      ...text.matchAll(/src="([^"]+)"/gu),
    ];
    for (const [, path = '', heading] of links) {
      expect(existsSync(new URL(path, folder)), path).toBe(true);
      if (heading) expect(headingsOf(path === '' ? text : readme)).toContain(heading.slice(1));
    }
  });

  it('names files and folders that are there', () => {
    const paths = [...text.matchAll(/`((?:src|shaders|tests|examples|scenes)\/[\w./-]+)`/gu)];
    for (const [, path = ''] of paths) {
      if (path.includes('NAME')) continue;
      expect(existsSync(new URL(path, root)), path).toBe(true);
    }
  });

  it('names no machine', () => {
    expect(text).not.toMatch(/(?<![\w.])\/(work|tmp|home|root|usr)\b/u);
  });
});

/** Without the formatter's padding of tables. */
const plain = (text: string): string => text.replace(/ +/gu, ' ').replace(/-{3,}/gu, '---');

/** As GitHub names them. */
const headingsOf = (text: string): string[] =>
  [...text.matchAll(/^#+ (.+)$/gmu)].map(([, title]) =>
    title!
      .toLowerCase()
      .replace(/[^\w\s-]/gu, '')
      .replace(/ /gu, '-'),
  );

describe('the README', () => {
  it('has a section with the options of every command, and of no other', async () => {
    const commands = allCommands();
    const names = commands.map(fullName);
    const alone = commands.filter(({ parent }) => parent === null);
    expect(alone).toHaveLength(readdirSync(new URL('src/cli/commands', root)).length);
    const sections = [...readme.matchAll(/^#{3,4} orbreel ([\w ]+)$/gmu)].map(([, name]) => name);
    expect(sections.toSorted()).toEqual(names.toSorted());
    expect(namesIn(readme)).toEqual(
      expect.arrayContaining(names.map((name) => `options of ${name}`)),
    );
  });

  it('gives only commands with options that exist', async () => {
    const commands = new Map(allCommands().map((command) => [fullName(command), command]));
    const lines = [...readme.matchAll(/^ {4}orbreel (.+)$/gmu)].map(([, line]) => line!);
    expect(lines.length).toBeGreaterThan(10);
    for (const line of lines) {
      const [name = '', ...words] = line.split(/\s[|>]\s/u)[0]!.split(' ');
      const command = commands.get(`${name} ${words[0]}`) ?? commands.get(name);
      expect(command, line).toBeDefined();
      const known = command!.options.map((option) => option.long);
      for (const word of words.filter((word) => word.startsWith('--'))) {
        expect(known, line).toContain(word);
      }
    }
  });

  it('shows each projection, in pictures that are quickly loaded', () => {
    const pictures = readdirSync(new URL('examples/pictures/', root));
    expect(pictures).toEqual(
      expect.arrayContaining([
        'hero.webp',
        'intro.webp',
        ...projectionNames.map((n) => `${n}.webp`),
      ]),
    );
    const bytes = pictures.map((file) => statSync(new URL(`examples/pictures/${file}`, root)).size);
    expect(bytes.reduce((sum, size) => sum + size, 0)).toBeLessThan(1_500_000);
  });
});
