import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { InputError } from '../../src/errors.js';
import { moveNames } from '../../src/moves/index.js';
import { projectionNames } from '../../src/projection/index.js';
import { parseSequence } from '../../src/scene/parse.js';
import { listed } from '../../src/scene/words.js';

interface Case {
  readonly title: string;
  readonly text: string;
  readonly says: readonly string[];
}

const cases: readonly Case[] = parse(
  readFileSync(new URL('wrong-scenes.yaml', import.meta.url), 'utf8'),
);

function faultOf(text: string): unknown {
  try {
    return parseSequence(text, 's.yaml');
  } catch (error) {
    return error;
  }
}

describe('a wrong scene is told all its mistakes:', () => {
  for (const { title, text, says } of cases) {
    it(title, () => {
      const fault = faultOf(text);
      expect(fault).toBeInstanceOf(InputError);
      const wanted = says.map((line) =>
        line
          .replace('{projections}', listed(projectionNames))
          .replace('{moves}', listed(moveNames)),
      );
      expect((fault as InputError).message.split('\n')).toEqual(wanted);
    });
  }

  it('with place and path apart, for programs', () => {
    const fault = faultOf('master: a.jpg\nduration: 8\nkeyframes:\n  - {at: 0, fov: 200}\n');
    expect((fault as InputError).problems).toEqual([
      {
        place: 's.yaml:4:18',
        path: 'keyframes[0].fov',
        message: 'rectilinear takes more than 0 and less than 180 degrees, found 200',
      },
    ]);
  });

  it('in JSON and with Windows line ends alike', () => {
    const json = '{\n\t"master": "a.jpg",\n\t"duration": 8,\n\t"keyframes": [{"at": 9}]\n}\n';
    const says =
      's.yaml:4:23: keyframes[0].at: takes a time from 0 to the duration, 8 s, found 9 s';
    expect(faultOf(json)).toMatchObject({ message: says });
    expect(faultOf(json.replaceAll('\n', '\r\n'))).toMatchObject({ message: says });
  });

  it('up to a hundred; more are counted', () => {
    const many = Array.from({ length: 250 }, (_, index) => `  - { at: ${index / 50}, yow: 1 }`);
    const fault = faultOf(`master: a.jpg\nduration: 8\nkeyframes:\n${many.join('\n')}\n`);
    const lines = (fault as InputError).message.split('\n');
    expect(lines).toHaveLength(101);
    expect(lines[99]).toBe(
      "s.yaml:103:17: keyframes[99].yow: is not a field here. Did you mean 'yaw'?",
    );
    expect(lines[100]).toBe('s.yaml: has 150 more mistakes');
  });

  it('even when brackets nest without end', () => {
    for (const text of ['['.repeat(200_000), '- '.repeat(200_000), '{a: '.repeat(200_000)]) {
      expect(faultOf(text)).toMatchObject({ message: 's.yaml: is nested too deeply for a scene' });
    }
  });
});
