import { Command } from 'commander';
import { cacheFolder, clearCache, entriesOf, MOST_BYTES } from '../../cache/folder.js';
import { countOf } from '../../scene/words.js';
import { helpAfter } from '../help.js';
import { jsonOption, quietOption } from '../options.js';
import { asJson, print } from '../terminal.js';

interface Words {
  readonly clear?: boolean;
  readonly json?: boolean;
  readonly quiet?: boolean;
}

export const cacheCommand = (): Command =>
  new Command('cache')
    .description('Show what is kept of large masters so that the next rendering starts sooner.')
    .option('--clear', 'remove it all')
    .addOption(jsonOption())
    .addOption(quietOption())
    .addHelpText(
      'after',
      helpAfter({
        examples: ['orbreel cache', 'orbreel cache --clear'],
        notes: [
          `It takes at most ${gigabytes(MOST_BYTES)}; what was not used for longest goes first.`,
          'All of it can be made anew, so clearing it is always safe. ORBREEL_CACHE',
          'names another folder, or is `off`.',
        ],
      }),
    )
    .action(show);

async function show({ clear = false, json = false, quiet = false }: Words): Promise<void> {
  const folder = cacheFolder();
  const removed = clear && folder !== undefined ? await clearCache(folder) : 0;
  const entries = folder === undefined ? [] : await entriesOf(folder);
  const bytes = entries.reduce((sum, entry) => sum + entry.bytes, 0);
  if (json) {
    print(asJson({ folder: folder ?? null, masters: entries.length, bytes, removed }));
    return;
  }
  if (quiet) return;
  if (folder === undefined) {
    print('Nothing is kept: ORBREEL_CACHE is off, or this user has no home folder.');
    return;
  }
  if (clear) print(`${folder}  ${gigabytes(removed)} removed`);
  else print(`${folder}  ${countOf(entries.length, 'master')}, ${gigabytes(bytes)}`);
}

const gigabytes = (bytes: number): string => `${(bytes / 1e9).toFixed(1)} GB`;
