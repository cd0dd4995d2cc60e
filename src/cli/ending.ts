import { CommanderError } from 'commander';
import { InputError, Interrupted, WorkError } from '../errors.js';

export const EXIT_DONE = 0;
export const EXIT_FAILED = 1;
export const EXIT_WRONG_INPUT = 2;
export const EXIT_INTERRUPTED = 130;

export interface Ending {
  readonly code: number;
  /** What to tell the user, one line a problem. */
  readonly lines: readonly string[];
}

/** A command that has said itself what is wrong, and only sets the exit code. */
export class Told extends Error {
  override readonly name = 'Told';
}

/** How the program ends after `error`; `words` are the command line's, for the hint to the right help. */
export function endingOf(error: unknown, words: readonly string[]): Ending {
  const ending = plainEnding(error, words);
  const wantsTrace = process.env.ORBREEL_DEBUG === '1' && ending.lines.length > 0;
  return wantsTrace && error instanceof Error && error.stack !== undefined
    ? { ...ending, lines: [...ending.lines, error.stack] }
    : ending;
}

function plainEnding(error: unknown, words: readonly string[]): Ending {
  if (error instanceof CommanderError) return usageEnding(error, words);
  if (error instanceof InputError) return { code: EXIT_WRONG_INPUT, lines: [error.message] };
  if (error instanceof WorkError) return { code: EXIT_FAILED, lines: [error.message] };
  if (error instanceof Interrupted) return { code: EXIT_INTERRUPTED, lines: [error.message] };
  if (error instanceof Told) return { code: EXIT_FAILED, lines: [] };
  const what = error instanceof Error ? error.message : String(error);
  const line = `Something unexpected went wrong: ${what.trim()} (ORBREEL_DEBUG=1 shows where).`;
  return { code: EXIT_FAILED, lines: [line] };
}

function usageEnding(error: CommanderError, words: readonly string[]): Ending {
  if (error.exitCode === EXIT_DONE) return { code: EXIT_DONE, lines: [] };
  // `orbreel` alone: its help has been shown.
  if (error.code === 'commander.help') return { code: EXIT_WRONG_INPUT, lines: [] };
  const sentence = error.message
    .replace(/^error: /u, '')
    .replace(/\s*\n\(Did you mean (.*)\?\)$/su, ". Did you mean '$1'?");
  const command = commandIn(words, error.code === 'commander.unknownCommand');
  return {
    code: EXIT_WRONG_INPUT,
    lines: [sentence, `'orbreel ${command}--help' tells how it is used.`],
  };
}

/** Commands that have commands of their own. */
const GROUPS: readonly string[] = ['master'];

/** The command's name and a space, when there is one; `unknown`: the last word is none. */
function commandIn(words: readonly string[], unknown: boolean): string {
  const depth = GROUPS.includes(words[0] ?? '') ? 2 : 1;
  const named = words.slice(0, unknown ? depth - 1 : depth);
  const names = named.filter((word) => /^[a-z]+$/u.test(word));
  return names.map((name) => `${name} `).join('');
}
