import { Command } from 'commander';
import { shortNumber } from '../../scene/words.js';
import { frameAt, frameCount, frameTime } from '../../timeline/frames.js';
import { helpAfter } from '../help.js';
import { shown, stillDeliveries } from '../names.js';
import {
  OptionReader,
  overwriteOption,
  qualityOption,
  quietOption,
  secondsWithin,
  shapeOption,
} from '../options.js';
import { openScene } from '../scene.js';
import { print, printProblems } from '../terminal.js';

interface Words {
  readonly at: string;
  readonly out?: string;
  readonly shape?: readonly string[];
  readonly quality?: string;
  readonly depth?: string;
  readonly guides?: boolean;
  readonly ffmpeg?: string;
  readonly overwrite?: boolean;
  readonly quiet?: boolean;
}

export const stillCommand = (signal: AbortSignal): Command =>
  new Command('still')
    .description('Render one frame of a scene: exactly the one its clip shows at that time.')
    .argument('<scene>', 'scene file (YAML or JSON)')
    .requiredOption('--at <time>', 'seconds (1.5), a timecode (00:01.500) or a share (50%)')
    .option(
      '--out <file>',
      'where it goes: .png, .jpg, .webp or .tif; with several shapes, the shape is added to the name (default: SCENE-SHAPE-TIMEs.png in the current folder)',
    )
    .addOption(shapeOption())
    .addOption(qualityOption())
    .option('--depth <bits>', 'bits a channel: 8, or 16 for PNG and TIFF (default: 8)')
    .option(
      '--guides',
      "draw over it the lines of thirds, the shape's safe area and the scene's marks (clips never have them)",
    )
    .option(
      '--ffmpeg <path>',
      'the ffmpeg that reads OpenEXR and video masters (default: the one installed)',
    )
    .addOption(overwriteOption())
    .addOption(quietOption())
    .addHelpText(
      'after',
      helpAfter({
        examples: [
          'orbreel still intro.yaml --at 2.5 --shape square --out planet.jpg',
          'orbreel still marks.yaml --at 50% --guides',
        ],
        notes: [
          'Not for many frames: `orbreel render --out frames/` writes them all and reads',
          'the master once.',
        ],
      }),
    )
    .action((scene: string, words: Words) => still(scene, words, signal));

const depthOf = (text: string): 8 | 16 | undefined =>
  text === '8' ? 8 : text === '16' ? 16 : undefined;

async function still(file: string, words: Words, signal: AbortSignal): Promise<void> {
  const reader = new OptionReader();
  const { shape = [], out, overwrite = false, quiet = false, guides = false } = words;
  reader.shapes(shape);
  const quality = reader.quality(words.quality);
  const moment = reader.moment('--at', words.at);
  const depth = reader.read('--depth', words.depth, 'takes 8 or 16', depthOf) ?? 8;
  if (guides && depth === 16)
    reader.problem('--guides', 'takes no --depth 16: guides are drawn in 8 bits');
  reader.done();

  const scene = await openScene(file, { shape });
  const asked = secondsWithin(reader, '--at', moment, scene.duration) ?? 0;
  reader.done();
  // At the very end the clip still shows its last frame.
  const last = frameCount(scene.duration, scene.fps) - 1;
  const at = frameTime(Math.min(frameAt(asked, scene.fps), last), scene.fps);

  const deliveries = stillDeliveries(scene, out, shortNumber(asked));
  const { renderStills } = await import('../../render.js');
  const ffmpeg = words.ffmpeg === undefined ? {} : { ffmpeg: words.ffmpeg };
  const onNote = (note: string) => quiet || printProblems([note]);
  await renderStills({
    scene,
    deliveries,
    quality,
    depth,
    guides,
    overwrite,
    at,
    signal,
    onNote,
    ...ffmpeg,
  });
  if (quiet) return;
  for (const { file, output } of deliveries) {
    print(`${shown(file)}  ${output.width}x${output.height}`);
  }
}
