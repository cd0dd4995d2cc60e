import { Command } from 'commander';
import { countOf } from '../../scene/words.js';
import { frameAt, frameCount } from '../../timeline/frames.js';
import { beginDrawing } from '../drawing.js';
import {
  type EncodingWords,
  endingFor,
  readChoice,
  withEncodingOptions,
} from '../encoding-options.js';
import { helpAfter } from '../help.js';
import { clipDeliveries, shown } from '../names.js';
import {
  OptionReader,
  overwriteOption,
  qualityOption,
  quietOption,
  secondsWithin,
  shapeOption,
} from '../options.js';
import { openScene } from '../scene.js';
import { print } from '../terminal.js';
import { makeClips } from '../work.js';

interface Words extends EncodingWords {
  readonly out?: string;
  readonly shape?: readonly string[];
  readonly fps?: string;
  readonly from?: string;
  readonly to?: string;
  readonly quality?: string;
  readonly ffmpeg?: string;
  readonly overwrite?: boolean;
  readonly quiet?: boolean;
}

export const renderCommand = (signal: AbortSignal): Command =>
  withEncodingOptions(
    new Command('render')
      .description('Render a scene as a clip, in one or several shapes at once.')
      .argument('<scene>', 'scene file (YAML or JSON)')
      .option(
        '--out <file>',
        'where it goes: .mp4, .mov, .webm, .gif, .webp; or single pictures in a folder (frames/) or by a pattern (f-%05d.png); with several shapes, the shape is added to the name (default: the file that the scene names, else SCENE-SHAPE in the current folder, .mp4 or as --codec needs it)',
      )
      .addOption(shapeOption())
      .option(
        '--fps <n>',
        "frames per second, 1 to 240 or a fraction such as 30000/1001 (default: the scene's)",
      )
      .option('--from <time>', 'start here: seconds (1.5), a timecode (00:01.500) or a share (25%)')
      .option('--to <time>', 'stop here, written like --from; the frame at this time is left out')
      .addOption(qualityOption()),
  )
    .option('--ffmpeg <path>', 'the ffmpeg to use (default: FFMPEG_BIN, else the one installed)')
    .addOption(overwriteOption())
    .addOption(quietOption())
    .addHelpText(
      'after',
      helpAfter({
        examples: [
          'orbreel render intro.yaml --shape vertical --shape square',
          'orbreel render intro.yaml --quality draft --from 2 --to 00:03.500',
          'orbreel render intro.yaml --codec hevc-10 --crf 18',
        ],
        notes: [
          'Not for a single picture: `orbreel still` is quicker. And whether a scene is',
          'right, `orbreel check` tells at once.',
          'Spheres above 4K play on more devices as hevc: few chips decode larger H.264.',
          'Fast spins and flashes make some viewers unwell: look at the whole clip before',
          'you publish it.',
        ],
      }),
    )
    .action((scene: string, words: Words) => render(scene, words, signal));

async function render(file: string, words: Words, signal: AbortSignal): Promise<void> {
  const reader = new OptionReader();
  const { shape = [], out, overwrite = false, quiet = false, ffmpeg } = words;
  reader.shapes(shape);
  const fps = reader.fps(words.fps);
  const quality = reader.quality(words.quality);
  const choice = readChoice(reader, words);
  const [start, stop] = [reader.moment('--from', words.from), reader.moment('--to', words.to)];
  reader.done();

  await beginDrawing();
  const scene = await openScene(file, { shape, fps });
  const from = secondsWithin(reader, '--from', start, scene.duration) ?? 0;
  const to = secondsWithin(reader, '--to', stop, scene.duration) ?? scene.duration;
  const frames = frameCount(to, scene.fps) - frameAt(from, scene.fps);
  if (frames < 1) {
    reader.problem(
      words.to === undefined ? '--from' : '--to',
      'leaves no frame to render: --to must lie at least one frame after --from',
    );
  }
  reader.done();

  const deliveries = clipDeliveries(scene, out, endingFor(choice));
  const work = { scene, deliveries, quality, choice, overwrite, from, to };
  await makeClips({ ...work, ffmpeg, quiet, signal });
  if (quiet) return;
  for (const { file, output } of deliveries) {
    print(`${shown(file)}  ${output.width}x${output.height}, ${countOf(frames, 'frame')}`);
  }
}
