import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { SHORT_SCENE, workFolder } from './support.js';

describe('orbreel sheet', () => {
  const folder = workFolder();

  it('draws the frames of a clip on a page, each the very frame of a still', async () => {
    await folder.write('short.yaml', SHORT_SCENE);
    const { code, stdout } = await folder.run(['sheet', 'short.yaml', '--frames', '2']);
    expect([code, stdout]).toEqual([0, 'short-sheet.png\n']);
    const page = sharp(folder.file('short-sheet.png'));
    const { width, height } = await page.metadata();
    expect(width).toBeGreaterThan(600);
    // The first picture begins below the title; what lies above it is paper.
    const { data, info } = await page.removeAlpha().raw().toBuffer({ resolveWithObject: true });
    const at = (x: number, y: number) => [
      ...data.subarray(3 * (y * info.width + x)).subarray(0, 3),
    ];
    const paper = at(2, 2);
    expect(at(48 + 10, 48 + 96 - 4)).toEqual(paper);
    expect(at(48 + 10, 48 + 96 + 10)).not.toEqual(paper);
    expect(at(width - 2, height - 2)).toEqual(paper);
  });

  it('takes several shapes, and says what it does not take', async () => {
    await folder.write('short.yaml', SHORT_SCENE);
    const words = ['sheet', 'short.yaml', '--shape', '64x32', '--shape', '32x64'];
    const two = await folder.run([...words, '--frames', '3', '--out', 'two.webp', '--quiet']);
    expect([two.code, two.stdout, two.stderr]).toEqual([0, '', '']);
    const wrong = await folder.run(['sheet', 'short.yaml', '--frames', '1', '--columns', 'x']);
    expect([wrong.code, wrong.stdout]).toEqual([2, '']);
    expect(wrong.stderr).toContain("--frames: takes a whole number from 2 to 100, found '1'");
    expect(wrong.stderr).toContain("--columns: takes a whole number from 1 to 100, found 'x'");
    const again = await folder.run([...words, '--out', 'two.webp']);
    expect([again.code, again.stdout]).toEqual([2, '']);
    expect(again.stderr).toContain('two.webp: already exists');
    expect(await folder.names()).toEqual(['master.png', 'short.yaml', 'two.webp']);
  });
});

describe('orbreel chart', () => {
  const folder = workFolder();

  it('draws a chart as SVG and PNG, without reading the master', async () => {
    await folder.write('master.png', 'no picture at all');
    await folder.write('short.yaml', SHORT_SCENE);
    const { code, stdout } = await folder.run(['chart', 'short.yaml']);
    expect([code, stdout]).toEqual([0, 'short-chart.svg\nshort-chart.png\n']);
    expect(await folder.read('short-chart.svg')).toMatch(/^<svg [^>]*aria-label="short: /u);
    expect((await sharp(folder.file('short-chart.png')).metadata()).format).toBe('png');
  });

  it('writes no chart where one of them cannot be written', async () => {
    await folder.write('short.yaml', SHORT_SCENE);
    await folder.write('short-chart.png', 'mine');
    const there = await folder.run(['chart', 'short.yaml']);
    expect([there.code, there.stdout]).toEqual([2, '']);
    expect(there.stderr).toContain('short-chart.png: already exists');
    const words = ['chart', 'short.yaml', '--out', 'a.svg', '--out', 'a.pdf', '--out', 'a.svg'];
    const wrong = await folder.run(words);
    expect([wrong.code, wrong.stdout]).toEqual([2, '']);
    expect(wrong.stderr).toContain(
      "a.pdf: a chart's name ends in one of .svg, .png, .jpg, .jpeg, .webp, .tif, .tiff, found .pdf.",
    );
    expect(wrong.stderr).toContain('a.svg: is named twice: leave one out.');
    expect(await folder.names()).toEqual(['master.png', 'short-chart.png', 'short.yaml']);
  });
});
