import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { changed } from '../../src/preview/edit/change.js';
import { inItsUnit } from '../../src/preview/edit/moment.js';
import { readDocument } from '../../src/scene/document.js';

const shipped = (name: string) =>
  readFileSync(new URL(`../../scenes/${name}`, import.meta.url), 'utf8');

/** The lines that two texts have not in common, as a patch would show them. */
function difference(before: string, after: string): string[] {
  const [a, b] = [before.split('\n'), after.split('\n')];
  let [start, end] = [0, 0];
  while (start < a.length && a[start] === b[start]) start++;
  while (end < Math.min(a.length, b.length) - start && a.at(-1 - end) === b.at(-1 - end)) end++;
  return [
    ...a.slice(start, a.length - end).map((line) => `-${line}`),
    ...b.slice(start, b.length - end).map((line) => `+${line}`),
  ];
}

describe('a change of a scene’s text', () => {
  const intro = shipped('intro.yaml');
  const short = `keyframes: # all of them
  - {at: 0, yaw: 1}   # first
  # the second
  - {at: 1, "yaw": 2}
`;
  const flow = `keyframes: [{ at: 0, yaw: 1 }, { at: 1, yaw: 2 }] # two\n`;
  const lines = `keyframes:
- at: 0
  projection:
    name: panini   # a group
    distance: 0.5
  yaw: 3
- at: 1 # the end
`;
  const json = `{
  "keyframes": [
    {
      "at": 0,
      "yaw": 1
    },
    { "at": 1 }
  ]
}
`;
  const at = (index: number, field: string) => ['keyframes', index, field];

  it.each([
    [
      'a number',
      intro,
      { kind: 'set', place: at(1, 'fov'), value: 230.5 },
      ['-    fov: 238', '+    fov: 230.5'],
    ],
    [
      'a field that is new',
      intro,
      { kind: 'set', place: at(1, 'yaw'), value: -50 },
      ['+    yaw: -50'],
    ],
    [
      'a name',
      intro,
      { kind: 'set', place: at(2, 'projection'), value: 'panini' },
      ['-    projection: rectilinear', '+    projection: panini'],
    ],
    [
      'a group for a name',
      intro,
      { kind: 'set', place: at(2, 'projection'), value: { name: 'panini', distance: 0.5 } },
      ['-    projection: rectilinear', '+    projection: { name: panini, distance: 0.5 }'],
    ],
    [
      'a text that needs quotes',
      short,
      { kind: 'set', place: at(1, 'ease'), value: 'cubic-bezier(0.1, 0, 0, 1)' },
      ['-  - {at: 1, "yaw": 2}', '+  - {at: 1, "yaw": 2, "ease": "cubic-bezier(0.1, 0, 0, 1)"}'],
    ],
    [
      'a field within brackets',
      flow,
      { kind: 'set', place: at(0, 'pitch'), value: 5 },
      [
        '-keyframes: [{ at: 0, yaw: 1 }, { at: 1, yaw: 2 }] # two',
        '+keyframes: [{ at: 0, yaw: 1, pitch: 5 }, { at: 1, yaw: 2 }] # two',
      ],
    ],
    [
      'a name for a group',
      lines,
      { kind: 'set', place: at(0, 'projection'), value: 'rectilinear' },
      [
        '-  projection:',
        '-    name: panini   # a group',
        '-    distance: 0.5',
        '+  projection: rectilinear',
      ],
    ],
    [
      'a field after a comment',
      lines,
      { kind: 'set', place: at(1, 'fov'), value: 60 },
      ['+  fov: 60'],
    ],
    ['a field left out', intro, { kind: 'remove', place: at(1, 'pitch') }, ['-    pitch: -90']],
    [
      'the first field left out',
      lines,
      { kind: 'remove', place: at(0, 'at') },
      ['-- at: 0', '-  projection:', '+- projection:'],
    ],
    [
      'a field within brackets left out',
      short,
      { kind: 'remove', place: at(0, 'yaw') },
      ['-  - {at: 0, yaw: 1}   # first', '+  - {at: 0}   # first'],
    ],
    [
      'a keyframe removed with its comment',
      short,
      { kind: 'remove', place: ['keyframes', 1] },
      ['-  # the second', '-  - {at: 1, "yaw": 2}'],
    ],
    [
      'one of two in brackets',
      flow,
      { kind: 'remove', place: ['keyframes', 0] },
      [
        '-keyframes: [{ at: 0, yaw: 1 }, { at: 1, yaw: 2 }] # two',
        '+keyframes: [{ at: 1, yaw: 2 }] # two',
      ],
    ],
    [
      'a keyframe on lines of its own',
      lines,
      { kind: 'insert', list: ['keyframes'], index: 1, value: { at: 0.5, yaw: 4 } },
      ['+- at: 0.5', '+  yaw: 4'],
    ],
    [
      'a keyframe in brackets',
      short,
      { kind: 'insert', list: ['keyframes'], index: 1, value: { at: 0.5, yaw: 4 } },
      ['+  - { at: 0.5, yaw: 4 }'],
    ],
    [
      'a keyframe before all others',
      short,
      { kind: 'insert', list: ['keyframes'], index: 0, value: { at: 0 } },
      ['+  - { at: 0 }'],
    ],
    [
      'a keyframe of JSON',
      json,
      { kind: 'insert', list: ['keyframes'], index: 1, value: { at: 0.5, projection: 'panini' } },
      ['+    {', '+      "at": 0.5,', '+      "projection": "panini"', '+    },'],
    ],
    [
      'a field of JSON',
      json,
      { kind: 'set', place: at(0, 'pitch'), value: 5 },
      ['-      "yaw": 1', '+      "yaw": 1,', '+      "pitch": 5'],
    ],
    [
      'a mark',
      short,
      { kind: 'set', place: ['marks'], value: { mill: { yaw: 5, pitch: 1 } } },
      ['+marks: { mill: { yaw: 5, pitch: 1 } }'],
    ],
  ] as const)('touches no other line: %s', (_, text, change, wanted) => {
    const after = changed(text, change);
    expect(difference(text, after)).toEqual(wanted);
  });

  it('keeps the empty lines between keyframes', () => {
    const added = changed(intro, {
      kind: 'insert',
      list: ['keyframes'],
      index: 2,
      value: { at: 3, yaw: 1 },
    });
    expect(added).toContain('0.3, 1)\n\n  - at: 3\n    yaw: 1\n\n  # ... the view is level');
    const removed = changed(intro, { kind: 'remove', place: ['keyframes', 1] });
    expect(removed).toContain('0.5, 1)\n\n  # ... the view is level');
  });

  it('says what the file says then, however it is written', () => {
    const odd = `? keyframes
: - &first
    at: 0
  - <<: {yaw: 3}
    at: 1
  - { "at": 2, ? yaw : 3 }
other: >
  folded
  text
`;
    for (let index = 0; index < 3; index++) {
      const after = changed(odd, { kind: 'set', place: at(index, 'fov'), value: 70 });
      expect(parse(after).keyframes[index].fov).toBe(70);
      expect(parse(after).other).toBe('folded text\n');
    }
  });

  it('keeps the line ends of Windows', () => {
    const text = short.replaceAll('\n', '\r\n');
    const after = changed(text, {
      kind: 'insert',
      list: ['keyframes'],
      index: 2,
      value: { at: 3 },
    });
    expect(after).toBe(`${text}  - { "at": 3 }\r\n`);
  });

  it('leaves a scene that can be read after any change of the shipped ones', () => {
    for (const name of ['intro.yaml', 'planet-stills.yaml', 'reframe.yaml']) {
      const text = shipped(name);
      const count = parse(text).keyframes.length as number;
      for (let index = 0; index < count; index++) {
        for (const change of [
          { kind: 'set', place: at(index, 'yaw'), value: 12.5 },
          { kind: 'set', place: at(index, 'ease'), value: 'linear' },
          { kind: 'insert', list: ['keyframes'], index, value: { at: 0.123, yaw: 7 } },
          { kind: 'remove', place: ['keyframes', index] },
        ] as const) {
          const after = changed(text, change);
          expect(readDocument(after, name).problems).toEqual([]);
          const comments = (t: string) =>
            t.split('\n').filter((line) => line.trim().startsWith('#'));
          const lost = comments(text).length - comments(after).length;
          expect(lost, `${name} ${JSON.stringify(change)}`).toBeLessThanOrEqual(
            change.kind === 'remove' ? 3 : 0,
          );
        }
      }
    }
  });

  it('is refused where there is no such place', () => {
    expect(() => changed(short, { kind: 'remove', place: ['keyframes', 7] })).toThrow(
      'has no keyframes 7',
    );
    expect(() => changed(short, { kind: 'set', place: ['a', 'b'], value: 1 })).toThrow(
      'has no a to change',
    );
  });

  it.each([
    ["'50%'", 1, '25%'],
    ['2s', 1.25, '1.25s'],
    ["'00:02.500'", 61.5, '01:01.500'],
    ["'01:00:02.5'", 3661.25, '01:01:01.250'],
    ['3', 1.23456, 1.2346],
  ])('writes a time as it was written: %s', (old, seconds, wanted) => {
    const text = `keyframes:\n  - at: ${old}\n`;
    const change = { kind: 'set', place: at(0, 'at'), value: seconds } as const;
    expect(inItsUnit(text, change, 4)).toEqual({ ...change, value: wanted });
  });
});
