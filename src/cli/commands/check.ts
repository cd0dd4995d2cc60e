import { Command } from 'commander';
import { InputError } from '../../errors.js';
import { summariseSequence } from '../../scene/summary.js';
import { helpAfter } from '../help.js';
import { jsonOption, OptionReader, quietOption, shapeOption } from '../options.js';
import { openScene } from '../scene.js';
import { summaryText } from '../summary-text.js';
import { asJson, print } from '../terminal.js';

interface Words {
  readonly shape?: readonly string[];
  readonly json?: boolean;
  readonly quiet?: boolean;
}

export const checkCommand = (): Command =>
  new Command('check')
    .description('Check a scene and tell what is in it, or everything that is wrong with it.')
    .argument('<scene>', 'scene file (YAML or JSON)')
    .addOption(shapeOption())
    .addOption(jsonOption())
    .addOption(quietOption())
    .addHelpText(
      'after',
      helpAfter({
        examples: ['orbreel check intro.yaml', 'orbreel check intro.yaml --json | jq .frames'],
        notes: [
          'It draws nothing: to see a frame, use `orbreel still`.',
          'It warns, and still ends with 0, where a mark that is looked at leaves the safe',
          'area or the frame.',
          'Fast turns make some viewers unwell: the fastest one is named here, in degrees',
          'per second.',
        ],
      }),
    )
    .action(check);

async function check(file: string, { shape = [], json = false, quiet = false }: Words) {
  try {
    const reader = new OptionReader();
    reader.shapes(shape);
    reader.done();
    const scene = await openScene(file, { shape });
    // Loaded only now, so that help and mistakes come at once.
    const { checkMaster } = await import('../../master/open.js');
    for (const master of new Set(scene.shots.map((shot) => shot.master))) await checkMaster(master);
    const summary = summariseSequence(scene);
    if (json) print(asJson(summary));
    else if (!quiet) print(summaryText(summary));
  } catch (error) {
    if (json && error instanceof InputError) print(asJson({ problems: error.problems }));
    throw error;
  }
}
