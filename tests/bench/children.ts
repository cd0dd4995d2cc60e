import { spawn } from 'node:child_process';
import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { seconds } from './measure.js';

const COMMAND = fileURLToPath(new URL('../../dist/cli/main.js', import.meta.url));
const PEAK = new URL('peak.mjs', import.meta.url).href;

/** Runs a program to its end. @throws Error with its last words when it fails */
export async function run(program: string, args: readonly string[], env = {}): Promise<string> {
  const child = spawn(program, args, {
    stdio: ['ignore', 'ignore', 'pipe'],
    // What an earlier run has kept would count.
    env: { ...process.env, ORBREEL_CACHE: 'off', ...env },
  });
  let words = '';
  child.stderr.setEncoding('utf8').on('data', (text: string) => {
    words = (words + text).slice(-20_000);
  });
  const code = await new Promise((resolve, reject) => {
    child.once('error', reject);
    child.once('close', resolve);
  });
  if (code !== 0) throw new Error(`${program} ${args.join(' ')} ended with ${code}: ${words}`);
  return words;
}

/** Seconds that one run of the compiled command takes, from start to end. */
export const timeOfCommand = (args: readonly string[]): Promise<number> =>
  seconds(() => run(process.execPath, [COMMAND, ...args]));

/** Most memory, in bytes, that one run of the compiled command held at any time. */
export async function peakOfCommand(args: readonly string[], folder: string): Promise<number> {
  const file = join(folder, 'peak.txt');
  const env = { ORBREEL_BENCH_PEAK: file };
  await run(process.execPath, ['--import', PEAK, COMMAND, ...args], env);
  return Number(await readFile(file, 'utf8'));
}

/** Writes a scene of one slowly turning view. */
export async function writeScene(
  folder: string,
  master: string,
  settings: { readonly fov: number; readonly projection: string; readonly outputs: string[] },
): Promise<string> {
  const { fov, projection, outputs } = settings;
  const pitch = projection === 'stereographic' ? -90 : 0;
  const file = join(folder, `scene-${projection}-${fov}.json`);
  const keyframes = [
    { at: 0, yaw: 0, pitch, fov, projection },
    { at: 10, yaw: 90 },
  ];
  await writeFile(file, JSON.stringify({ master, duration: 10, fps: 30, outputs, keyframes }));
  return file;
}
