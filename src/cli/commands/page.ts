import { resolve } from 'node:path';
import { Command } from 'commander';
import { helpAfter } from '../help.js';
import { shown } from '../names.js';
import { OptionReader, overwriteOption, quietOption } from '../options.js';
import { openScene } from '../scene.js';
import { print } from '../terminal.js';
import { given, numberWithin, wholeWithin } from '../values.js';
import { attempt, withProgress } from '../working.js';

interface Words {
  readonly out?: string;
  readonly folder?: string;
  readonly width?: string;
  readonly title?: string;
  readonly caption?: string;
  readonly credit?: string;
  readonly start?: string;
  readonly ffmpeg?: string;
  readonly overwrite?: boolean;
  readonly quiet?: boolean;
}

const [LEAST_WIDTH, MOST_WIDTH] = [256, 32768];

export const pageCommand = (signal: AbortSignal): Command =>
  new Command('page')
    .description('Make a page to look around in: one HTML file that works anywhere, also offline.')
    .argument('<file>', 'a 360 master, or a scene file (YAML or JSON), whose moves the page plays')
    .option('--out <file>', 'where it goes: .html')
    .option(
      '--folder <folder>',
      'instead of one file, a folder with tiles that are fetched as needed, for large masters',
    )
    .option(
      '--width <px>',
      `the picture's width, ${LEAST_WIDTH} to ${MOST_WIDTH}, never more than the master's (default: 4096 in a file, the master's own in a folder)`,
    )
    .option('--title <text>', 'what the page is called (default: All around)')
    .option('--caption <text>', 'a sentence or two about the picture')
    .option('--credit <text>', 'who made it, under which terms')
    .option(
      '--start <yaw,pitch,fov>',
      "where to look first, in degrees (default: the photo's own initial view, or the scene's last one)",
    )
    .option('--ffmpeg <path>', 'the ffmpeg that reads OpenEXR masters (default: the one installed)')
    .addOption(overwriteOption())
    .addOption(quietOption())
    .addHelpText(
      'after',
      helpAfter({
        examples: [
          'orbreel page valley.jpg --out valley.html --title "The lake at dawn"',
          'orbreel page intro.yaml --out intro.html',
          'orbreel page valley.tif --folder valley/ --credit "Photo: N. N."',
        ],
        notes: [
          'A page shows everything around its place: faces, windows, number plates too.',
          'Ask those who can be recognised, and think of who lives there, before you share it.',
          'Not for clips: `orbreel render` makes them.',
        ],
      }),
    )
    .action((file: string, words: Words) => attempt(() => page(file, words, signal), { signal }));

async function page(path: string, words: Words, signal: AbortSignal): Promise<void> {
  const { overwrite = false, quiet = false, title, caption, credit, ffmpeg } = words;
  const reader = new OptionReader();
  const target = targetOf(words, reader);
  const width = reader.read(
    '--width',
    words.width,
    `takes a whole number of pixels from ${LEAST_WIDTH} to ${MOST_WIDTH}`,
    wholeWithin(LEAST_WIDTH, MOST_WIDTH),
  );
  const start = reader.read(
    '--start',
    words.start,
    'takes yaw,pitch,fov in degrees, such as 30,-5,75: yaw from -360 to 360, pitch from -90 to 90, fov from 10 to 300',
    parseStart,
  );
  reader.done();

  const { isSceneFile } = await import('../../scene/kind.js');
  const source = (await isSceneFile(path))
    ? { scene: await openScene(path, {}) }
    : { master: resolve(path) };
  const { makePage } = await import('../../page/make.js');
  const name = 'file' in target! ? target.file : target!.folder;
  await withProgress(name, quiet, async (onProgress) => {
    onProgress('reading the master', 0);
    await makePage({
      ...{ source, target: target!, overwrite, signal },
      ...given({ width, title, caption, credit, start, ffmpeg }),
      onProgress: (share) => onProgress('cutting the picture', share),
    });
  });
  if (!quiet) print(shown(name));
}

function targetOf({ out, folder }: Words, reader: OptionReader) {
  if (out !== undefined && folder !== undefined) {
    reader.problem('--folder', 'takes the place of --out: give one of them');
  } else if (folder !== undefined) return { folder };
  else if (out === undefined)
    reader.problem('--out', 'is missing: say where the page goes, such as page.html');
  else if (/\.html?$/iu.test(out)) return { file: out };
  else reader.problem('--out', `takes a file that ends in .html, found '${out}'`);
  return undefined;
}

function parseStart(text: string) {
  const [yaw, pitch, fov, ...more] = text.split(',').map((part) => part.trim());
  const [a, b, c] = [
    numberWithin(-360, 360)(yaw ?? ''),
    numberWithin(-90, 90)(pitch ?? ''),
    numberWithin(10, 300)(fov ?? ''),
  ];
  if (more.length > 0 || a === undefined || b === undefined || c === undefined) return undefined;
  return { yaw: a, pitch: b, fov: c };
}
