import { Command } from 'commander';
import { helpAfter } from '../../help.js';
import { completeCommand } from './complete.js';
import { finishCommand } from './finish.js';
import { inspectCommand } from './inspect.js';
import { levelCommand } from './level.js';
import { markCommand } from './mark.js';

export const masterCommand = (signal: AbortSignal): Command => {
  const master = new Command('master')
    .description('Look a master over, make it whole, level it, mark it; or finish it in one go.')
    .helpCommand('help [command]', 'show the help of one of them')
    .addHelpText(
      'after',
      helpAfter({
        examples: [
          'orbreel master inspect valley.jpg',
          'orbreel master finish valley.jpg --out finished.jpg',
        ],
        notes: [
          'None of them changes the master itself, except mark when told to with',
          '--overwrite. Each has its own help: `orbreel master complete --help`.',
        ],
      }),
    );
  const commands = [
    inspectCommand(signal),
    completeCommand(signal),
    levelCommand(signal),
    markCommand(signal),
    finishCommand(signal),
  ];
  for (const command of commands) master.addCommand(command);
  return master;
};
