import { writeFile } from 'node:fs/promises';
import { basename, dirname, extname, relative, resolve, sep } from 'node:path';
import { Command } from 'commander';
import { diskError } from '../../encode/disk.js';
import { fileProblems, openTarget } from '../../encode/target.js';
import { InputError } from '../../errors.js';
import { findMove, moveNames } from '../../moves/index.js';
import type { Move } from '../../moves/types.js';
import { moveStarter } from '../../scene/moves/starter.js';
import { starterScene } from '../../scene/starter.js';
import { complaint, didYouMean, listed } from '../../scene/words.js';
import { helpAfter } from '../help.js';
import { overwriteOption, quietOption } from '../options.js';
import { print } from '../terminal.js';

interface Words {
  readonly master: string;
  readonly move?: string;
  readonly overwrite?: boolean;
  readonly quiet?: boolean;
}

export const newCommand = (): Command =>
  new Command('new')
    .description('Write a commented scene to start from; it renders as it is.')
    .argument('<name>', "the scene's name, also with folders before it; .yaml is added")
    .requiredOption('--master <file>', 'the 360 master: an equirectangular picture, 2:1')
    .option(
      '--move <name>',
      'begin with this ready move (orbreel moves lists them) instead of keyframes',
    )
    .addOption(overwriteOption())
    .addOption(quietOption())
    .addHelpText(
      'after',
      helpAfter({
        examples: [
          'orbreel new intro --master valley.jpg',
          'orbreel new closer --master valley.jpg --move push-in',
        ],
        notes: ['Not needed for a scene that you already have: copy it and change its master.'],
      }),
    )
    .action(writeScene);

async function writeScene(name: string, words: Words) {
  const { master, overwrite = false, quiet = false } = words;
  const move = moveOf(words.move);
  const file = sceneFile(name);
  const problems = await fileProblems(file, overwrite);
  if (problems.length > 0) throw new InputError(problems);
  const { openMaster } = await import('../../master/open.js');
  await openMaster(master);

  const title = basename(file, extname(file));
  const target = await openTarget(file, overwrite);
  try {
    await writeFile(target.temporary, starterText(title, seenFrom(dirname(file), master), move));
  } catch (error) {
    await target.discard();
    throw diskError(error, file);
  }
  await target.commit();
  if (!quiet) print(nextSteps(file));
}

const starterText = (title: string, master: string, move: Move | undefined): string =>
  move === undefined ? starterScene(title, master) : moveStarter(title, master, move);

function moveOf(name: string | undefined): Move | undefined {
  const move = name === undefined ? undefined : findMove(name);
  if (name === undefined || move !== undefined) return move;
  const message = complaint(`takes a move: ${listed(moveNames)}`, name);
  const hint = didYouMean(name, moveNames);
  throw new InputError([{ place: '', path: '--move', message: message + hint }]);
}

function sceneFile(name: string): string {
  const extension = extname(name).toLowerCase();
  if (/[/\\]$/u.test(name) || name.trim() === '') {
    const message = `takes a scene's name such as intro, found '${name}'`;
    throw new InputError([{ place: '', path: 'NAME', message }]);
  }
  if (extension === '.json') {
    const message = `a starter scene is YAML, for its comments: leave .json out of '${name}'`;
    throw new InputError([{ place: '', path: 'NAME', message }]);
  }
  return extension === '.yaml' || extension === '.yml' ? name : `${name}.yaml`;
}

/** A path as a scene in `folder` writes it. */
const seenFrom = (folder: string, file: string): string =>
  relative(resolve(folder), resolve(file)).split(sep).join('/');

function nextSteps(file: string): string {
  const word = /^[\w./:-]+$/u.test(file) ? file : `"${file}"`;
  return `Wrote ${file}. Next:
  orbreel check ${word}           what is in it
  orbreel still ${word} --at 2    one frame of it
  orbreel render ${word}          the clip`;
}
