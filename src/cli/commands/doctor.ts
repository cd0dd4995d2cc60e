import { Command } from 'commander';
import type { Check } from '../doctor/check.js';
import { Told } from '../ending.js';
import { helpAfter } from '../help.js';
import { jsonOption, quietOption } from '../options.js';
import { version } from '../package.js';
import { asJson, columns, paint, print } from '../terminal.js';

interface Words {
  readonly ffmpeg?: string;
  readonly json?: boolean;
  readonly quiet?: boolean;
}

export const doctorCommand = (): Command =>
  new Command('doctor')
    .description('Tell what draws and encodes on this machine, its limits, and what is missing.')
    .option('--ffmpeg <path>', 'the ffmpeg to ask (default: FFMPEG_BIN, else the one installed)')
    .addOption(jsonOption())
    .addOption(quietOption())
    .addHelpText(
      'after',
      helpAfter({
        examples: ['orbreel doctor', 'orbreel doctor --json'],
        notes: [
          'Exit code 1 when something that rendering needs is missing.',
          'It looks at the machine only; what is wrong with a scene, `orbreel check` tells.',
        ],
      }),
    )
    .action(doctor);

async function doctor({ ffmpeg, json = false, quiet = false }: Words): Promise<void> {
  const [{ drawingChecks, largestMaster, probeDrawing }, tools] = await Promise.all([
    import('../doctor/drawing.js'),
    import('../doctor/tools.js'),
  ]);
  const encoding = await tools.probeEncoding(ffmpeg);
  const drawing = probeDrawing();
  const checks = [tools.nodeCheck(), ...drawingChecks(drawing), ...tools.encodingChecks(encoding)];
  const ok = checks.every(({ state }) => state !== 'missing');
  if (json) {
    const found = 'ffmpeg' in encoding ? encoding.ffmpeg : undefined;
    print(
      asJson({
        ok,
        version,
        node: process.versions.node,
        drawing:
          'info' in drawing
            ? { ...drawing.info, largestMaster: largestMaster(drawing.info) }
            : drawing,
        ffmpeg: found && {
          path: found.path,
          version: found.version,
          origin: found.origin,
          formats: tools.formatsOf(found),
        },
        missing: checks.filter(({ state }) => state === 'missing'),
      }),
    );
  } else if (!quiet || !ok) print(report(checks, ok));
  if (!ok) throw new Told();
}

const MARKS: Readonly<Record<Check['state'], () => string>> = {
  ok: () => paint('green', 'ok     '),
  note: () => paint('yellow', 'note   '),
  missing: () => paint('red', 'missing'),
};

function report(checks: readonly Check[], ok: boolean): string {
  const rows = columns(checks.map(({ what, found }) => [what, found])).split('\n');
  const lines = checks.flatMap(({ state, remedy }, index) => [
    `${MARKS[state]()}  ${rows[index]}`,
    ...(remedy === undefined ? [] : remedy.split('\n').map((line) => `           ${line}`)),
  ]);
  const end = ok ? 'Nothing that rendering needs is missing.' : 'Something is missing: see above.';
  return [`orbreel ${version}`, ...lines, '', end].join('\n');
}
