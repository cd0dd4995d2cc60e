import { spawn } from 'node:child_process';
import { resolve } from 'node:path';
import { Command } from 'commander';
import { helpAfter } from '../help.js';
import { shown } from '../names.js';
import { OptionReader, quietOption } from '../options.js';
import { note, print } from '../terminal.js';
import { wholeWithin } from '../values.js';

interface Words {
  readonly open: boolean;
  readonly port?: string;
  readonly quiet?: boolean;
}

export const previewCommand = (signal: AbortSignal): Command =>
  new Command('preview')
    .description('Open a scene, or a master without one, in the browser: look, aim, set keyframes.')
    .argument('<file>', 'scene file (YAML or JSON), or a 360 master, for which a scene is begun')
    .option('--no-open', 'only print the address, do not open a browser')
    .option('--port <n>', 'port on this computer, 1 to 65535 (default: a free one)')
    .addOption(quietOption())
    .addHelpText(
      'after',
      helpAfter({
        examples: ['orbreel preview intro.yaml', 'orbreel preview valley.jpg'],
        notes: [
          'Only this computer can reach the page, and only by the address printed here:',
          'what follows its # is the key to your files. Ctrl-C ends it; unsaved changes are',
          'then put into a file beside the scene.',
          'Not for delivery: `orbreel render` makes the clips.',
        ],
      }),
    )
    .action((file: string, words: Words) => preview(file, words, signal));

async function preview(file: string, { open, port, quiet = false }: Words, signal: AbortSignal) {
  const reader = new OptionReader();
  const takes = 'takes a whole number from 1 to 65535';
  const wanted = reader.read('--port', port, takes, wholeWithin(1, 65535));
  reader.done();

  const { openSession } = await import('../../preview/open.js');
  const { servePreview } = await import('../../preview/server.js');
  const session = await openSession(resolve(file));
  const server = await servePreview(session, wanted === undefined ? {} : { port: wanted }).catch(
    (error) => {
      session.close();
      throw error;
    },
  );
  print(server.address);
  if (!quiet)
    note('Serving the preview at the address above, on this computer only; Ctrl-C ends it.');
  if (open) openBrowser(server.address);
  await stopped(signal);
  const kept = await session.keepUnsaved();
  session.close();
  await server.close();
  if (kept !== undefined) note(`Unsaved changes are in ${shown(kept)}.`);
}

const stopped = (signal: AbortSignal): Promise<void> =>
  new Promise((done) => {
    if (signal.aborted) done();
    else signal.addEventListener('abort', () => done(), { once: true });
  });

/** By the system's own way; where there is none, the address is printed already. */
function openBrowser(address: string): void {
  const [program, ...words] =
    process.platform === 'darwin'
      ? ['open']
      : process.platform === 'win32'
        ? ['rundll32', 'url.dll,FileProtocolHandler']
        : ['xdg-open'];
  const child = spawn(program!, [...words, address], { stdio: 'ignore', detached: true });
  child.on('error', () => {});
  child.unref();
}
