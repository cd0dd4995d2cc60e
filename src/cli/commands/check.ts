import { Command } from 'commander';
import type { ComfortWarning } from '../../comfort/warnings.js';
import { InputError } from '../../errors.js';
import { expandedShots, expandedText } from '../../scene/moves/expand.js';
import { type SequenceSummary, summariseSequence } from '../../scene/summary.js';
import type { Sequence, Warning } from '../../scene/types.js';
import { helpAfter } from '../help.js';
import { jsonOption, OptionReader, quietOption, shapeOption } from '../options.js';
import { Progress } from '../progress.js';
import { openScene } from '../scene.js';
import { type ShapeFlashing, summaryText } from '../summary-text.js';
import { asJson, print } from '../terminal.js';
import { withVideos } from '../video-text.js';

interface Words {
  readonly shape?: readonly string[];
  readonly flashes?: boolean;
  readonly expand?: boolean;
  readonly json?: boolean;
  readonly quiet?: boolean;
}

export const checkCommand = (signal: AbortSignal): Command =>
  new Command('check')
    .description('Check a scene and tell what is in it, or everything that is wrong with it.')
    .argument('<scene>', 'scene file (YAML or JSON)')
    .addOption(shapeOption())
    .option('--flashes', 'also draw a small draft of the whole clip and measure its flashes')
    .option(
      '--expand',
      'print instead the keyframes that the moves come to, as YAML to put into the scene',
    )
    .addOption(jsonOption())
    .addOption(quietOption())
    .addHelpText(
      'after',
      helpAfter({
        examples: [
          'orbreel check intro.yaml',
          'orbreel check intro.yaml --json | jq .frames',
          'orbreel check moves.yaml --expand',
        ],
        notes: [
          'It draws nothing, unless asked for flashes: to see a frame, use `orbreel still`.',
          'It warns, and still ends with 0, where a mark that is looked at leaves the safe',
          'area or the frame, where the view turns or zooms so fast that some viewers feel',
          'sick (our limits: no standard sets any), and of flashes above the threshold of',
          'WCAG 2, which can cause seizures.',
        ],
      }),
    )
    .action((scene: string, words: Words) => check(scene, words, signal));

async function check(file: string, words: Words, signal: AbortSignal) {
  const { shape = [], expand = false, flashes = false, json = false, quiet = false } = words;
  try {
    const reader = new OptionReader();
    reader.shapes(shape);
    reader.done();
    const scene = await openScene(file, { shape });
    // Loaded only now, so that help and mistakes come at once.
    const [{ checkMasters }, { openAllOverlays }, { comfortWarnings }] = await Promise.all([
      import('../../check.js'),
      import('../../flow/overlays.js'),
      import('../../comfort/warnings.js'),
    ]);
    const videos = await checkMasters(scene);
    await openAllOverlays(scene);
    if (expand) {
      if (json) print(asJson(expandedShots(scene)));
      else if (!quiet) print(expandedText(scene));
      return;
    }
    const summary = withComfort(summariseSequence(scene), comfortWarnings(scene));
    const flashing = flashes ? await flashesOf(scene, signal, quiet || json) : undefined;
    if (json)
      print(asJson({ ...withVideos(summary, videos), ...(flashing && { flashes: flashing }) }));
    else if (!quiet) print(summaryText(summary, flashing, videos));
  } catch (error) {
    if (json && error instanceof InputError) print(asJson({ problems: error.problems }));
    throw error;
  }
}

/** The summary with the warnings of its movements among those of each shot. */
function withComfort(summary: SequenceSummary, found: readonly ComfortWarning[]): SequenceSummary {
  const of = (index: number) =>
    found.filter(({ shot }) => shot === index).map(({ shot: _, ...warning }): Warning => warning);
  const shots = summary.shots.map((shot, index) => ({
    ...shot,
    warnings: [...shot.warnings, ...of(index)],
  }));
  return { ...summary, shots };
}

async function flashesOf(
  scene: Sequence,
  signal: AbortSignal,
  silent: boolean,
): Promise<ShapeFlashing[]> {
  const { measureFlashes } = await import('../../flashes.js');
  const progress = new Progress(process.stderr, { unit: 'frames', speed: 'fps' });
  const found: ShapeFlashing[] = [];
  try {
    for (const output of scene.outputs) {
      const { shape } = output;
      const onProgress = (done: number, total: number) => {
        if (!silent) progress.update({ label: `flashes of ${shape}`, done, total });
      };
      const list = await measureFlashes({ scene, output, signal, onProgress });
      found.push(...list.map((flashing) => ({ shape, ...flashing })));
    }
  } finally {
    progress.end();
  }
  return found;
}
