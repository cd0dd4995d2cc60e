import { paint } from './terminal.js';

export interface HelpAfter {
  readonly examples: readonly string[];
  /** When not to use it, cautions. */
  readonly notes: readonly string[];
}

const section = (title: string, lines: readonly string[]): string =>
  `\n${paint('bold', title)}\n${lines.map((line) => `  ${line}`).join('\n')}`;

/** What stands below a command's options in its help. */
export const helpAfter = ({ examples, notes }: HelpAfter): string =>
  section(examples.length > 1 ? 'Examples:' : 'Example:', examples) +
  (notes.length === 0 ? '' : `\n\n${notes.join('\n')}`);
