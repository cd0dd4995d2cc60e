import { existsSync } from 'node:fs';
import { InputError } from '../errors.js';
import type { Studio } from '../render.js';
import { endingOf } from './ending.js';
import { shown } from './names.js';
import { note, print, printProblems } from './terminal.js';
import { WatchedFiles } from './watched-files.js';

/** What is wrong with the command itself: no file that is saved mends it. */
export class WrongCommand extends InputError {}

export interface Round {
  /** The same for all rounds, unless something broke in it. */
  readonly studio: Studio;
  readonly isFirst: boolean;
  readonly files: Pick<WatchedFiles, 'add' | 'has'>;
}

interface Watching {
  readonly scene: string;
  readonly signal: AbortSignal;
  readonly quiet: boolean;
  /** Draws, telling the files that it reads, and says in a line what. */
  readonly draw: (round: Round) => Promise<string>;
}

/**
 * Draws, and draws again whenever a file that was read is saved, until `signal` fires. What goes wrong
 * is printed, and mended by saving.
 *
 * @throws WrongCommand; InputError where there is no scene file to begin with
 */
export async function watching({ scene, signal, quiet, draw }: Watching): Promise<void> {
  const { openStudio } = await import('../render.js');
  const files = new WatchedFiles();
  let studio: Studio | undefined;
  let isFirst = true;
  if (!quiet) note(`Watching ${shown(scene)} and the files that it names; Ctrl-C ends it.`);
  try {
    let since = performance.now();
    while (!signal.aborted) {
      files.begin();
      files.add(scene);
      studio ??= openStudio();
      try {
        const drawn = await draw({ studio, isFirst, files });
        const seconds = ((performance.now() - since) / 1000).toFixed(2);
        if (!quiet) print(`${drawn}  ${seconds} s`);
      } catch (error) {
        if (signal.aborted) return;
        if (error instanceof WrongCommand || (isFirst && !existsSync(scene))) throw error;
        files.failed();
        printProblems(endingOf(error, []).lines);
        if (!quiet) note('Nothing was drawn; saving a change tries again.');
        if (!(error instanceof InputError)) {
          await studio.close();
          studio = undefined;
        }
      }
      isFirst = false;
      since = await files.change(signal);
    }
  } finally {
    files.close();
    await studio?.close();
  }
}
