import { Command } from 'commander';
import { cacheCommand } from './commands/cache.js';
import { chartCommand } from './commands/chart.js';
import { checkCommand } from './commands/check.js';
import { demoCommand } from './commands/demo.js';
import { doctorCommand } from './commands/doctor.js';
import { masterCommand } from './commands/master/master.js';
import { movesCommand } from './commands/moves.js';
import { newCommand } from './commands/new.js';
import { pageCommand } from './commands/page.js';
import { previewCommand } from './commands/preview.js';
import { projectionsCommand } from './commands/projections.js';
import { renderCommand } from './commands/render.js';
import { schemaCommand } from './commands/schema.js';
import { sheetCommand } from './commands/sheet.js';
import { stillCommand } from './commands/still.js';
import { helpAfter } from './help.js';
import { version } from './package.js';
import { paint } from './terminal.js';

/**
 * Runs one command. `signal` asks it to stop.
 *
 * @throws CommanderError, InputError, WorkError, Interrupted
 */
export async function runCommandLine(words: readonly string[], signal: AbortSignal): Promise<void> {
  await program(words, signal).parseAsync(words, { from: 'user' });
}

/** All commands, in the order in which help lists them. */
export const COMMANDS: readonly (readonly [
  name: string,
  build: (signal: AbortSignal) => Command,
])[] = [
  ['render', renderCommand],
  ['still', stillCommand],
  ['preview', previewCommand],
  ['page', pageCommand],
  ['sheet', sheetCommand],
  ['chart', chartCommand],
  ['check', checkCommand],
  ['master', masterCommand],
  ['new', newCommand],
  ['moves', movesCommand],
  ['projections', projectionsCommand],
  ['schema', schemaCommand],
  ['doctor', doctorCommand],
  ['cache', cacheCommand],
  ['demo', demoCommand],
];

function program(words: readonly string[], signal: AbortSignal): Command {
  const orbreel = new Command('orbreel')
    .description('Turns a 360 master into little planets, tiny-planet intros and social reframes.')
    .version(version, '--version', 'print the version')
    .helpCommand('help [command]', 'show the help of a command')
    .addHelpText(
      'after',
      helpAfter({
        examples: [
          'orbreel demo',
          'orbreel new intro --master valley.jpg',
          'orbreel check intro.yaml',
          'orbreel still intro.yaml --at 2',
          'orbreel preview intro.yaml',
          'orbreel render intro.yaml',
        ],
        notes: [
          'Exit codes: 0 done, 1 failed while working, 2 wrong input or usage,',
          '130 interrupted.',
        ],
      }),
    );
  const [name] = words;
  const asked = COMMANDS.filter((command) => command[0] === name);
  // Building all of them takes longer than reading a scene; help and near misses need them.
  for (const [, build] of asked.length > 0 ? asked : COMMANDS) orbreel.addCommand(build(signal));
  prepare(orbreel);
  return orbreel;
}

/** What all commands have in common. */
function prepare(command: Command): void {
  command
    .helpOption('-h, --help', 'show this help')
    .configureHelp({ styleTitle: (title) => paint('bold', title) })
    // What is wrong is told in one place, ending.ts.
    .configureOutput({ outputError: () => {} })
    .exitOverride();
  for (const one of command.commands) prepare(one);
}
