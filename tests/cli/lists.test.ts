import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { projections } from '../../src/projection/index.js';
import { projectFolder, workFolder } from './support.js';

const folder = workFolder();

describe('orbreel projections', () => {
  it('tells formula, field of view, use and source of every registered one', async () => {
    const { code, stdout, stderr } = await folder.run(['projections']);
    expect([code, stderr]).toEqual([0, '']);
    const blocks = stdout.trimEnd().split('\n\n');
    expect(blocks).toHaveLength(projections.length);
    for (const [index, { name, formula, goodFor, source }] of projections.entries()) {
      const block = blocks[index] ?? '';
      expect(block.startsWith(`${name}  `)).toBe(true);
      for (const words of [formula, goodFor, source]) expect(block).toContain(`  ${words}`);
      expect(block).toMatch(/\n {2}field of view +(up to|less than) \d+°/);
    }
  });

  it('prints JSON', async () => {
    const { code, stdout } = await folder.run(['projections', '--json']);
    const list = JSON.parse(stdout);
    expect(code).toBe(0);
    expect(list.map((item: { name: string }) => item.name)).toEqual(
      projections.map(({ name }) => name),
    );
    // The plane at infinity is 90° off the view axis (Snyder, USGS PP 1395, ch. 22).
    expect(list[0].fov.horizontal).toEqual({ moreThan: 0, max: 180, inclusive: false });
  });
});

describe('orbreel schema', () => {
  it('prints the schema that is shipped', async () => {
    const { code, stdout, stderr } = await folder.run(['schema']);
    expect([code, stderr]).toEqual([0, '']);
    const shipped = readFileSync(join(projectFolder, 'scenes', 'scene.schema.json'), 'utf8');
    expect(JSON.parse(stdout)).toEqual(JSON.parse(shipped));
  });
});
