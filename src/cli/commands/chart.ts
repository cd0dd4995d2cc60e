import { Command } from 'commander';
import { expectNone } from '../../flow/jobs.js';
import { helpAfter } from '../help.js';
import { shown } from '../names.js';
import { OptionReader, oneShapeOption, overwriteOption, quietOption } from '../options.js';
import { openScene } from '../scene.js';
import { print } from '../terminal.js';

interface Words {
  readonly out?: readonly string[];
  readonly shape?: string;
  readonly overwrite?: boolean;
  readonly quiet?: boolean;
}

export const chartCommand = (): Command =>
  new Command('chart')
    .description(
      'Draw what the camera does over time: yaw, pitch, roll, fov, how fast it turns and zooms.',
    )
    .argument('<scene>', 'scene file (YAML or JSON)')
    .option(
      '--out <file>',
      'where it goes: .svg, .png, .jpg, .webp or .tif; repeat it for several (default: SCENE-chart.svg and SCENE-chart.png in the current folder)',
      (file: string, before: readonly string[] = []) => [...before, file],
    )
    .addOption(oneShapeOption())
    .addOption(overwriteOption())
    .addOption(quietOption())
    .addHelpText(
      'after',
      helpAfter({
        examples: [
          'orbreel chart intro.yaml',
          'orbreel chart intro.yaml --shape square --out square.svg',
        ],
        notes: [
          'Of several shapes it shows the first. It reads no master: for pictures of the',
          'frames, use `orbreel sheet`.',
          'Dashed lines are the limits above which `orbreel check` warns: our choice.',
        ],
      }),
    )
    .action(chart);

async function chart(path: string, { overwrite = false, quiet = false, ...words }: Words) {
  const reader = new OptionReader();
  const shape = words.shape === undefined ? [] : [words.shape];
  reader.shapes(shape);
  reader.done();
  const scene = await openScene(path, { shape });
  const { chartProblems, writeChart } = await import('../../chart.js');
  const files = words.out ?? ['svg', 'png'].map((kind) => `${scene.name}-chart.${kind}`);
  await expectNone([chartProblems(files, overwrite)]);
  for (const file of files) {
    await writeChart({ scene, output: scene.outputs[0]!, file, overwrite });
    if (!quiet) print(shown(file));
  }
}
