import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/errors.js';
import { parseSequence } from '../../src/scene/parse.js';

/** A small repeatable generator (Marsaglia's xorshift with 13, 17, 5; from memory). */
function random(seed: number): (below: number) => number {
  let state = seed;
  return (below) => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) % below;
  };
}

const SIGNS = ['\t', '\n', ' ', ':', ': ', '- ', '#', '[', ']', '{', '}', ',', '"', "'", '|', '>'];
const WORDS = [
  '&a ',
  '*a',
  '!x ',
  '? ',
  '---\n',
  '%',
  '@',
  '-1',
  '1e400',
  '.nan',
  '~',
  '__proto__: ',
];
const VALUES = [
  '<<: ',
  '\u0000',
  '\ud800',
  'null',
  '[[]]',
  '{a: {b: c}}',
  '360',
  '\\',
  'at: 9',
  'true',
];
const PIECES = [...SIGNS, ...WORDS, ...VALUES];

function mutated(text: string, below: (n: number) => number): string {
  let out = text;
  for (let count = 1 + below(4); count > 0; count--) {
    const at = below(out.length + 1);
    const length = below(12);
    const piece = PIECES[below(PIECES.length)]!;
    const moved = out.slice(below(out.length + 1)).slice(0, length * 3);
    const parts = [
      out.slice(0, at) + piece + out.slice(at),
      out.slice(0, at) + out.slice(at + length),
      out.slice(0, at) + piece + out.slice(at + length),
      out.slice(0, at) + moved + out.slice(at),
    ];
    out = parts[below(parts.length)]!;
  }
  return out;
}

describe('a scene changed at random', () => {
  it.each([
    'intro.yaml',
    'marks.yaml',
    'moves.yaml',
    'planet-stills.yaml',
    'reframe.yaml',
    'glass-ball.yaml',
  ])(
    '%s is either right or told what is wrong',
    (name) => {
      const text = readFileSync(new URL(`../../scenes/${name}`, import.meta.url), 'utf8');
      const below = random(20_240_621);
      let wrong = 0;
      for (let round = 0; round < 400; round++) {
        const changed = mutated(text, below);
        try {
          parseSequence(changed, 's.yaml');
        } catch (error) {
          wrong++;
          const shown = JSON.stringify(changed);
          expect(error, shown).toBeInstanceOf(InputError);
          for (const { place, message } of (error as InputError).problems) {
            expect(place, shown).toMatch(/^s\.yaml(:[1-9]\d*:[1-9]\d*)?$/u);
            expect(message, shown).not.toMatch(/undefined|NaN|\[object|Invalid|zod|Error/u);
            expect(message.length, shown).toBeGreaterThan(10);
          }
        }
      }
      expect(wrong).toBeGreaterThan(150);
    },
    120_000,
  );
});
