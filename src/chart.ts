import { writeFile } from 'node:fs/promises';
import { extname } from 'node:path';
import sharp from 'sharp';
import { seriesOf } from './chart/series.js';
import { chartSvg } from './chart/svg.js';
import type { Chart } from './chart/types.js';
import { comfortWarnings, inClip } from './comfort/warnings.js';
import { IMAGE_FORMATS, imageFormatOf } from './encode/imageformats.js';
import { ending, stillProblems, writeStill } from './encode/still.js';
import { fileProblems } from './encode/target.js';
import { writeWhole } from './encode/wholeFile.js';
import type { Problem } from './errors.js';
import { expectNone } from './flow/jobs.js';
import { readyHouseFont } from './lettering/house.js';
import type { Sequence, SequenceOutput } from './scene/types.js';
import { countOf, fpsText, shortNumber } from './scene/words.js';
import { frameCount } from './timeline/frames.js';
import { clipPlaces } from './timeline/places.js';
import { shotTimes } from './timeline/shots.js';

export interface ChartJob {
  readonly scene: Sequence;
  readonly output: SequenceOutput;
  /** Ends in .svg, or in what stills end in. */
  readonly file: string;
  readonly overwrite: boolean;
}

/** More samples than this many pixels across show nothing more. */
const MOST_SAMPLES = 2400;

/** Pictures are drawn this many times larger than the SVG says, for sharp letters. */
const ENLARGED = 2;

/**
 * Draws what the camera does over time as a chart.
 *
 * @throws InputError when `file` will not do, WorkError when the disk fails
 */
export async function writeChart({ scene, output, file, overwrite }: ChartJob): Promise<void> {
  const svg = chartSvg(chartOf(scene, output));
  if (isSvg(file)) {
    await writeWhole(file, overwrite, (temporary) => writeFile(temporary, svg));
    return;
  }
  await readyHouseFont();
  const picture = sharp(Buffer.from(svg), { density: 72 * ENLARGED }).ensureAlpha();
  const { data, info } = await picture.raw().toBuffer({ resolveWithObject: true });
  const still = { file, rgba: data, width: info.width, height: info.height, overwrite };
  await expectNone([stillProblems(still)]);
  await writeStill(still);
}

const isSvg = (file: string): boolean => extname(file).toLowerCase() === '.svg';

/** Everything that keeps charts from being written there, known before the first is drawn. */
export async function chartProblems(
  files: readonly string[],
  overwrite: boolean,
): Promise<Problem[]> {
  const found = await Promise.all(
    files.map((file): Promise<Problem[]> => {
      if (!isSvg(file) && imageFormatOf(file) === undefined) {
        const known = ['.svg', ...IMAGE_FORMATS.flatMap(({ extensions }) => extensions)].join(', ');
        const message = `a chart's name ends in one of ${known}, found ${ending(file)}.`;
        return Promise.resolve([{ place: file, path: '', message }]);
      }
      return fileProblems(file, overwrite);
    }),
  );
  const twice = files.filter((file, index) => files.indexOf(file) < index);
  return [
    ...found.flat(),
    ...twice.map((file) => ({ place: file, path: '', message: 'is named twice: leave one out.' })),
  ];
}

/** What the chart of one output shows. */
export function chartOf(scene: Sequence, output: SequenceOutput): Chart {
  const { name, duration, fps, shots, transitions } = scene;
  const count = frameCount(duration, fps);
  const step = Math.ceil(count / MOST_SAMPLES);
  const frames = Array.from({ length: Math.ceil(count / step) }, (_, index) => index * step);
  const size =
    output.shape === `${output.width}x${output.height}` ? '' : ` ${output.width}x${output.height}`;
  const times = shotTimes(shots, transitions);
  return {
    title: name,
    facts: `${output.shape}${size}, ${shortNumber(duration)} s, ${countOf(count, 'frame')} at ${fpsText(fps)}`,
    duration,
    samples: seriesOf(scene, output, frames),
    keyframes: shots.flatMap((scene, shot) =>
      clipPlaces(scene, scene.outputs[output.index]!.keyframes).map(({ at, path }) => ({
        at: times[shot]!.start + at,
        label: path,
      })),
    ),
    shots: times.slice(1).map(({ start }, index) => ({ at: start, label: `shot ${index + 2}` })),
    warnings: comfortWarnings(scene, [output]).map((warning) => ({
      ...inClip(scene, warning),
      message: `${warning.path} ${warning.message}`,
    })),
  };
}
