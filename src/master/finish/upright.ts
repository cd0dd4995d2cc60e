import { InputError } from '../../errors.js';
import { placingChoices } from '../choices.js';
import { completeCommand } from '../commands.js';
import { coverageOf } from '../inspect/coverage.js';
import { detectFormat } from '../inspect/format.js';
import { readPhoto } from '../inspect/photo.js';
import { type LevelOptions, type LevelReport, levelMaster } from '../level.js';
import { gpanoOf, isWholeSphere } from '../mark/gpano.js';
import { withMetadata } from '../metadata.js';
import { carryMetadata } from './carry.js';
import { expectOnePhoto, expectUpright } from './picture.js';
import { inWorkFolder } from './workFolder.js';

/** `levelMaster`, with all that the camera wrote carried over; nothing left behind however it ends. */
export async function makeLevel(options: LevelOptions): Promise<LevelReport> {
  return inWorkFolder(options, async (folder) => {
    await expectWhole(options.input);
    const report = await levelMaster({ ...options, output: folder.result });
    const written = report.status === 'turned';
    if (written) await carryMetadata(options.input, folder.result);
    return { report, written };
  });
}

/** @throws InputError, with the commands that help, for a photo of a part of the sphere */
async function expectWhole(file: string): Promise<void> {
  const format = await detectFormat(file);
  await expectOnePhoto({ file, kind: format.kind, format: format.title });
  const photo = await readPhoto(file, format);
  const { width, height } = photo.orientation < 5 ? photo : turned(photo);
  if (isWholeSphere({ width, height })) return;
  await expectUpright(file);
  const gpano = gpanoOf(await withMetadata((tool) => tool.read(file)));
  if (coverageOf(photo, gpano).basis === 'supposed') throw placingChoices(photo, 'complete');
  const message = `expected a whole sphere, twice as wide as high, found ${width}x${height}, a part of one; complete it first: ${completeCommand(file)}`;
  throw new InputError([{ place: file, path: '', message }]);
}

const turned = ({ width, height }: { width: number; height: number }) => ({
  width: height,
  height: width,
});
