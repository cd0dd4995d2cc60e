import { mkdir } from 'node:fs/promises';
import { dirname } from 'node:path';
import { Command } from 'commander';
import { demoPlaces, provideMaster, provideScene } from '../demo-files.js';
import { helpAfter } from '../help.js';
import { clipDeliveries, shown } from '../names.js';
import { OptionReader, overwriteOption, qualityOption, quietOption } from '../options.js';
import { openScene } from '../scene.js';
import { note, print } from '../terminal.js';
import { makeClips } from '../work.js';

interface Words {
  readonly out?: string;
  readonly width?: string;
  readonly quality?: string;
  readonly ffmpeg?: string;
  readonly overwrite?: boolean;
  readonly quiet?: boolean;
}

/** Of the demo master: an 8K sphere, as good cameras deliver. */
const USUAL_WIDTH = 8192;
const WIDTHS = { least: 512, most: 16384, step: 64 };
const widthTakes = `takes ${WIDTHS.least} to ${WIDTHS.most} pixels, a multiple of ${WIDTHS.step}`;

export const demoCommand = (signal: AbortSignal): Command =>
  new Command('demo')
    .description(
      'Make the demo master, a valley at sunrise, and render a tiny-planet intro from it.',
    )
    .option(
      '--out <file>',
      'where the clip goes (default: the out folder, replacing an earlier one)',
    )
    .option(
      '--width <pixels>',
      `width of the demo master: ${WIDTHS.least} to ${WIDTHS.most}, a multiple of ${WIDTHS.step} (default: the one that is there, else ${USUAL_WIDTH})`,
    )
    .addOption(qualityOption())
    .option('--ffmpeg <path>', 'the ffmpeg to use (default: FFMPEG_BIN, else the one installed)')
    .addOption(overwriteOption())
    .addOption(quietOption())
    .addHelpText(
      'after',
      helpAfter({
        examples: ['orbreel demo', 'orbreel demo --width 2048 --quality draft'],
        notes: [
          'In a copy of the project it works there; elsewhere in a new folder,',
          'orbreel-demo.',
          'Not for your own pictures: `orbreel new` writes a scene for those.',
        ],
      }),
    )
    .action((words: Words) => demo(words, signal));

async function demo(words: Words, signal: AbortSignal): Promise<void> {
  const reader = new OptionReader();
  const quality = reader.quality(words.quality);
  const width = reader.read('--width', words.width, widthTakes, parseWidth);
  reader.done();
  const { out, ffmpeg, quiet = false } = words;

  const places = await demoPlaces();
  const made = await provideMaster(places.master, width, USUAL_WIDTH, { quiet, signal });
  if (made && !quiet) note(`The demo master: ${shown(places.master)}`);
  await provideScene(places.scene);

  const scene = await openScene(places.scene, {});
  const deliveries = clipDeliveries(scene, out).map((delivery) =>
    out === undefined
      ? { ...delivery, file: places.clip(`${scene.name}-${delivery.output.shape}`) }
      : delivery,
  );
  if (out === undefined) {
    for (const { file } of deliveries) await mkdir(dirname(file), { recursive: true });
  }
  // Its own earlier clip it may replace, a file of the user's only when told to.
  const overwrite = out === undefined || words.overwrite === true;
  await makeClips({ scene, deliveries, quality, overwrite, ffmpeg, quiet, signal });
  if (quiet) return;
  for (const { file } of deliveries) print(`The demo clip: ${shown(file)}`);
}

function parseWidth(text: string): number | undefined {
  if (!/^\d{1,6}$/u.test(text)) return undefined;
  const width = Number(text);
  const fits = width >= WIDTHS.least && width <= WIDTHS.most && width % WIDTHS.step === 0;
  return fits ? width : undefined;
}
