#!/usr/bin/env node
import { endingOf } from './ending.js';
import { runCommandLine } from './program.js';
import { listenForStop, quietWhenClosed } from './signals.js';
import { printProblems } from './terminal.js';

function end(error: unknown): void {
  const { code, lines } = endingOf(error, process.argv.slice(2));
  printProblems(lines);
  process.exitCode = code;
}

quietWhenClosed(process.stdout);
quietWhenClosed(process.stderr);
process.on('uncaughtException', (error) => {
  end(error);
  process.exit();
});

// Not awaited: bundled parts that are loaded later import from this file, and would wait for it to end.
runCommandLine(process.argv.slice(2), listenForStop()).catch(end);
