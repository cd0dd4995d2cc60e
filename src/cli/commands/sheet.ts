import { Command } from 'commander';
import { beginDrawing } from '../drawing.js';
import { helpAfter } from '../help.js';
import { shown } from '../names.js';
import {
  OptionReader,
  overwriteOption,
  qualityOption,
  quietOption,
  readerOption,
  shapeOption,
} from '../options.js';
import { Progress } from '../progress.js';
import { openScene } from '../scene.js';
import { note, print } from '../terminal.js';
import { given, wholeWithin } from '../values.js';

interface Words {
  readonly out?: string;
  readonly shape?: readonly string[];
  readonly allShapes?: boolean;
  readonly frames?: string;
  readonly columns?: string;
  readonly quality?: string;
  readonly ffmpeg?: string;
  readonly overwrite?: boolean;
  readonly quiet?: boolean;
}

const USUAL_FRAMES = 12;
const MOST_FRAMES = 100;

export const sheetCommand = (signal: AbortSignal): Command =>
  new Command('sheet')
    .description(
      'Draw a contact sheet of a clip: frames side by side, with time, projection and fov.',
    )
    .argument('<scene>', 'scene file (YAML or JSON)')
    .option(
      '--out <file>',
      'where it goes: .png, .jpg, .webp or .tif (default: SCENE-sheet.png in the current folder)',
    )
    .option(
      '--frames <n>',
      `how many frames, evenly spread, 2 to ${MOST_FRAMES} (default: ${USUAL_FRAMES})`,
    )
    .option('--columns <n>', 'frames side by side (default: as many as suit their shape)')
    .addOption(shapeOption("the scene's first"))
    .option('--all-shapes', "all of the scene's outputs side by side")
    .addOption(qualityOption())
    .addOption(readerOption())
    .addOption(overwriteOption())
    .addOption(quietOption())
    .addHelpText(
      'after',
      helpAfter({
        examples: [
          'orbreel sheet intro.yaml',
          'orbreel sheet intro.yaml --all-shapes --frames 8 --out intro.jpg',
        ],
        notes: ['For one frame at its full size, use `orbreel still`.'],
      }),
    )
    .action((scene: string, words: Words) => sheet(scene, words, signal));

async function sheet(path: string, words: Words, signal: AbortSignal): Promise<void> {
  const reader = new OptionReader();
  const { shape = [], allShapes = false, overwrite = false, quiet = false } = words;
  reader.shapes(shape);
  const quality = reader.quality(words.quality);
  const count = (option: string, text: string | undefined, low: number) =>
    reader.read(
      option,
      text,
      `takes a whole number from ${low} to ${MOST_FRAMES}`,
      wholeWithin(low, MOST_FRAMES),
    );
  const frames = count('--frames', words.frames, 2) ?? USUAL_FRAMES;
  const columns = count('--columns', words.columns, 1);
  reader.done();

  await beginDrawing();
  const scene = await openScene(path, { shape });
  const file = words.out ?? `${scene.name}-sheet.png`;
  const { renderSheet } = await import('../../sheet.js');
  const progress = new Progress(process.stderr, { unit: 'frames' });
  const label = shown(file);
  try {
    await renderSheet({
      ...{ scene, frames, quality, file, overwrite, signal },
      outputs: scene.outputs.flatMap((_, index) =>
        index === 0 || allShapes || shape.length > 0 ? [index] : [],
      ),
      ...given({ columns, ffmpeg: words.ffmpeg }),
      onNote: (sentence) => quiet || note(`Note: ${sentence}`),
      onProgress: (done, total) => quiet || progress.update({ label, done, total }),
    });
  } finally {
    progress.end();
  }
  if (!quiet) print(label);
}
