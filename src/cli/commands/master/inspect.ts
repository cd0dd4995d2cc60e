import { writeFile } from 'node:fs/promises';
import { Command } from 'commander';
import { fileProblems } from '../../../encode/target.js';
import { InputError, type Problem } from '../../../errors.js';
import { helpAfter } from '../../help.js';
import { jsonOption, OptionReader, overwriteOption } from '../../options.js';
import { asJson, print } from '../../terminal.js';
import { attempt } from '../../working.js';

interface Words {
  readonly holes?: string;
  readonly ffmpeg?: string;
  readonly json?: boolean;
  readonly overwrite?: boolean;
}

export const inspectCommand = (signal: AbortSignal): Command =>
  new Command('inspect')
    .description('Look a master over: what it claims and whether that is so, what is missing.')
    .summary('say what is so and what is not')
    .argument('<file...>', 'photos or videos, one or several')
    .option('--holes <picture>', 'also draw the sphere, small, with its holes striped: a .png')
    .option(
      '--ffmpeg <path>',
      "the ffmpeg for a video's frame (default: FFMPEG_BIN, else the one installed)",
    )
    .addOption(jsonOption())
    .addOption(overwriteOption())
    .addHelpText(
      'after',
      helpAfter({
        examples: [
          'orbreel master inspect valley.jpg',
          'orbreel master inspect valley.jpg --holes holes.png',
          "orbreel master inspect *.jpg --json | jq '.[].missing.percent'",
        ],
        notes: [
          'It changes nothing, and false claims are a finding, not a failure: the exit',
          'code is 0. With --json it prints a list, also for one file.',
          'Not to check a scene: that is `orbreel check`.',
        ],
      }),
    )
    .action((files: string[], words: Words) =>
      attempt(() => inspect(files, words, signal), { signal }),
    );

async function inspect(files: readonly string[], words: Words, signal: AbortSignal): Promise<void> {
  const { holes, json = false } = words;
  await checkHolesName(files, words);
  const { describeInspection } = await import('../../../master/inspect.js');
  const problems: Problem[] = [];
  const found: object[] = [];
  for (const [index, file] of files.entries()) {
    try {
      const inspection = await lookAt(file, words);
      found.push(inspection);
      if (json) continue;
      if (index > 0) print('');
      print(describeInspection(inspection));
      if (holes !== undefined) print(`${holes}: the sphere with its holes striped`);
    } catch (error) {
      if (signal.aborted || !(error instanceof InputError)) throw error;
      problems.push(...error.problems);
      found.push({ file, problems: error.problems });
    }
  }
  if (json) print(asJson(found));
  if (problems.length > 0) throw new InputError(problems);
}

/** Loads what it needs only now, so that help and mistakes come at once. */
async function lookAt(file: string, { holes, ffmpeg, overwrite = false }: Words) {
  const { inspectMaster, renderHoles } = await import('../../../master/inspect.js');
  const { horizonOf } = await import('../../../master/finish/horizon.js');
  const inspection = await inspectMaster(file, {
    horizon: horizonOf,
    ...(ffmpeg === undefined ? {} : { ffmpeg }),
  });
  if (holes !== undefined) {
    const picture = await renderHoles(inspection, file);
    const { writeWhole } = await import('../../../encode/wholeFile.js');
    await writeWhole(holes, overwrite, (temporary) => writeFile(temporary, picture));
  }
  return inspection;
}

async function checkHolesName(files: readonly string[], { holes, overwrite = false }: Words) {
  if (holes === undefined) return;
  const reader = new OptionReader();
  if (files.length > 1) reader.problem('--holes', 'takes one master at a time');
  if (!/\.png$/iu.test(holes))
    reader.problem('--holes', `takes a name that ends in .png, found '${holes}'`);
  reader.done();
  const problems = await fileProblems(holes, overwrite);
  if (problems.length > 0) throw new InputError(problems);
}
