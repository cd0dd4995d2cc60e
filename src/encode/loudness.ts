import { execFile } from 'node:child_process';
import { promisify } from 'node:util';
import { WorkError } from '../errors.js';
import type { Ffmpeg } from './ffmpeg.js';
import { type SoundPlan, soundChain } from './sound.js';

const run = promisify(execFile);

/** What ffmpeg's loudnorm filter finds out and wants to be told again; LUFS, LU, dBTP. */
export interface MeasuredLoudness {
  readonly integrated: number;
  readonly range: number;
  readonly peak: number;
  readonly threshold: number;
  readonly offset: number;
}

/**
 * Measures a plan's sound by EBU R 128 (ITU-R BS.1770), all of it, so that one gain does for the whole.
 *
 * @returns undefined when it is silent
 * @throws WorkError when ffmpeg cannot read it
 */
export async function measureLoudness(
  plan: SoundPlan,
  { path }: Pick<Ffmpeg, 'path'>,
): Promise<MeasuredLoudness | undefined> {
  const { lufs, peak } = plan.loudness!;
  const { inputs, graph } = soundChain(plan, 0);
  const filter = `${graph};[sound]loudnorm=I=${lufs}:TP=${peak}:print_format=json[measured]`;
  const words = await run(
    path,
    [
      ...['-hide_banner', '-nostdin', '-nostats', ...inputs],
      ...['-filter_complex', filter, '-map', '[measured]', '-f', 'null', '-'],
    ],
    { maxBuffer: 2 ** 24 },
  ).then(
    ({ stderr }) => stderr,
    ({ stderr = '' }: { stderr?: string }) => {
      throw new WorkError(`The sound could not be measured: ${stderr.trim().split('\n').at(-1)}`);
    },
  );
  const json = JSON.parse(/\{[^{}]*\}\s*$/u.exec(words)?.[0] ?? '{}') as Record<string, string>;
  const number = (name: string) => Number(json[name]);
  if (!Number.isFinite(number('input_i'))) return undefined;
  return {
    integrated: number('input_i'),
    range: number('input_lra'),
    peak: number('input_tp'),
    threshold: number('input_thresh'),
    offset: number('target_offset'),
  };
}
