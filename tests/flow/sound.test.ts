import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { checkMasters } from '../../src/check.js';
import type { Choice } from '../../src/encode/clip.js';
import { findFfmpeg } from '../../src/encode/ffmpeg.js';
import { renderClips } from '../../src/render.js';
import { loadScene } from '../../src/scene/load.js';

const folder = mkdtempSync(join(tmpdir(), 'orbreel-sound-'));
const inFolder = (name: string) => join(folder, name);
const FPS = 25;

/** Made by ffmpeg's generators, whose signals are known exactly. */
const made = (name: string, signal: string, ...more: string[]) =>
  execFileSync('ffmpeg', ['-v', 'error', '-f', 'lavfi', '-i', signal, ...more, inFolder(name)]);

beforeAll(async () => {
  const plain = { create: { width: 64, height: 32, channels: 3, background: '#468' } } as const;
  await sharp(plain).png().toFile(inFolder('master.png'));
  // A tone of an amplitude of 1/4 from 1 s on, silence before it.
  made('late.wav', 'aevalsrc=0.25*sin(2*PI*440*t)*gte(t\\,1):d=4:s=48000');
  made('tone.wav', 'aevalsrc=0.25*sin(2*PI*440*t):d=8:s=48000');
  // Noise that swells and sinks slowly.
  made('noise.flac', 'anoisesrc=d=8:c=pink:a=0.3:seed=7,tremolo=f=0.2:d=0.6');
  made('silence.wav', 'anullsrc=r=48000:cl=mono', '-t', '3');
  made('mute.mp4', 'color=c=black:s=64x32:d=1');
});
afterAll(() => rmSync(folder, { recursive: true }));

let count = 0;

async function sceneOf(sound: string, duration = 3) {
  const file = inFolder(`scene-${count++}.yaml`);
  const fields = `master: master.png\nduration: ${duration}\nfps: ${FPS}\noutputs: [32x32]`;
  writeFileSync(file, `${fields}\nsound: ${sound}\nkeyframes: [{ at: 0 }]\n`);
  return loadScene(file);
}

async function clipOf(
  sound: string,
  { duration = 3, ending = 'mp4', ...more }: ClipWishes = {},
): Promise<string> {
  const scene = await sceneOf(sound, duration);
  const file = inFolder(`clip-${count++}.${ending}`);
  const deliveries = [{ output: scene.outputs[0]!, file }];
  const notes: string[] = [];
  const ffmpeg = await findFfmpeg();
  await renderClips({
    ...{ scene, deliveries, quality: 'draft', overwrite: false, ffmpeg },
    ...more,
    onNote: (note) => notes.push(note),
  });
  said = notes;
  return file;
}

interface ClipWishes {
  readonly duration?: number;
  readonly ending?: string;
  readonly from?: number;
  readonly to?: number;
  readonly choice?: Choice;
}

let said: readonly string[] = [];

/** Of the clip's first channel, 48000 a second. */
function samplesOf(file: string): Float32Array {
  const args = ['-v', 'error', '-i', file, '-ac', '1', '-ar', '48000', '-f', 'f32le', '-'];
  const bytes = execFileSync('ffmpeg', args, { maxBuffer: 2 ** 27 });
  return new Float32Array(new Uint8Array(bytes).buffer);
}

/** Root of the mean square from one second to another. */
function level(samples: Float32Array, from: number, to: number): number {
  const part = samples.subarray(from * 48000, to * 48000);
  return Math.sqrt(part.reduce((sum, value) => sum + value * value, 0) / part.length);
}

/** ffmpeg's own EBU R 128 meter, on the finished clip. */
function loudnessOf(file: string): { lufs: number; peak: number } {
  const args = ['-hide_banner', '-nostats', '-i', file, '-af', 'ebur128=peak=true', '-f', 'null'];
  const { stderr } = spawnText('ffmpeg', [...args, '-']);
  const summary = stderr.slice(stderr.lastIndexOf('Summary:'));
  const number = (pattern: RegExp) => Number(pattern.exec(summary)?.[1]);
  return { lufs: number(/I:\s+(-?[\d.]+) LUFS/u), peak: number(/Peak:\s+(-?[\d.]+) dBFS/u) };
}

function spawnText(program: string, args: readonly string[]) {
  const script =
    'const{spawnSync}=require("child_process");const[p,...a]=process.argv.slice(1);process.stdout.write(spawnSync(p,a,{encoding:"utf8"}).stderr)';
  return {
    stderr: execFileSync(process.execPath, ['-e', script, program, ...args], { encoding: 'utf8' }),
  };
}

const TONE = 0.25 / Math.SQRT2;

describe('a sound file', () => {
  it.each(['mp4', 'mov', 'webm'])('is heard from where it should be, in .%s', async (ending) => {
    const samples = samplesOf(
      await clipOf('{ file: late.wav, start: 0.5, at: 0.3, fadeOut: 0 }', { ending }),
    );
    // 1 s of silence, of which half a second is skipped, and 0.3 s before it begins.
    const first = samples.findIndex((sample) => Math.abs(sample) > 0.05) / 48000;
    expect(Math.abs(first - 0.8)).toBeLessThan(1 / FPS);
    expect(level(samples, 1, 2.9)).toBeCloseTo(TONE, 2);
    expect(samples.length / 48000).toBeCloseTo(3, 1);
  });

  it('is named alone, is cut to the clip, and goes out softly at its end', async () => {
    const samples = samplesOf(await clipOf('tone.wav', { duration: 2 }));
    expect(Math.abs(samples.length / 48000 - 2)).toBeLessThan(1 / FPS);
    expect(level(samples, 0.2, 0.9)).toBeCloseTo(TONE, 2);
    // Half way down a fade of a second, evenly: half the amplitude.
    expect(level(samples, 1.48, 1.52)).toBeCloseTo(TONE / 2, 1.7);
    expect(level(samples, 1.95, 2)).toBeLessThan(0.1 * TONE);
  });

  it('is made softer and faded in as asked', async () => {
    const samples = samplesOf(await clipOf('{ file: tone.wav, gain: -6, fadeIn: 1, fadeOut: 0 }'));
    // 6 dB down is 10^(-6/20).
    expect(level(samples, 1.5, 2.9)).toBeCloseTo(TONE * 10 ** (-6 / 20), 2);
    expect(level(samples, 0.48, 0.52)).toBeCloseTo((TONE * 10 ** (-6 / 20)) / 2, 1.7);
  });

  it('of a part of the clip is that part of it', async () => {
    const samples = samplesOf(
      await clipOf('{ file: late.wav, fadeOut: 0, fadeIn: 0.5 }', { from: 0.6, to: 2 }),
    );
    const first = samples.findIndex((sample) => Math.abs(sample) > 0.05) / 48000;
    expect(Math.abs(first - 0.4)).toBeLessThan(1 / FPS);
    expect(Math.abs(samples.length / 48000 - 1.4)).toBeLessThan(1 / FPS);
  });

  it('that is shorter than the clip leaves silence', async () => {
    const samples = samplesOf(await clipOf('{ file: late.wav, fadeOut: 0.5 }', { duration: 5 }));
    expect(level(samples, 4.1, 4.9)).toBeLessThan(1e-3);
    expect(level(samples, 3.9, 4)).toBeLessThan(0.2 * TONE);
  });

  it('is left out of clips that have no sound, and a note says so', async () => {
    await clipOf('tone.wav', { ending: 'gif', duration: 0.2 });
    expect(said).toEqual(['.gif clips have no sound: take .mp4, .mov or .webm for it.']);
  });
});

describe('loudness', () => {
  it.each([
    ['ebu-r128', -23],
    ['web', -14],
    ['-30', -30],
  ])('is brought to %s, as ffmpeg’s own meter finds', async (target, lufs) => {
    const wish = `{ file: noise.flac, fadeOut: 0, loudness: ${target} }`;
    const aac = loudnessOf(await clipOf(wish, { duration: 8 }));
    // EBU R 128 allows half a unit.
    expect(Math.abs(aac.lufs - lufs)).toBeLessThan(0.5);
    // Unpacked sound, as it comes with ProRes, has the very peaks that were aimed at.
    const choice = { codec: 'prores-422hq' } as const;
    const pcm = loudnessOf(await clipOf(wish, { duration: 8, ending: 'mov', choice }));
    expect(Math.abs(pcm.lufs - lufs)).toBeLessThan(0.5);
    expect(pcm.peak).toBeLessThanOrEqual(-0.9);
  });

  it('of a part is that of the whole: parts fit together', async () => {
    const wish = '{ file: noise.flac, fadeOut: 0, loudness: ebu-r128 }';
    const whole = samplesOf(await clipOf(wish, { duration: 8 }));
    const part = samplesOf(await clipOf(wish, { duration: 8, from: 2, to: 4 }));
    const ratio = level(part, 0.2, 1.8) / level(whole, 2.2, 3.8);
    expect(20 * Math.log10(ratio)).toBeCloseTo(0, 0.5);
  });

  it('of silence is nothing to be made louder', async () => {
    const samples = samplesOf(await clipOf('{ file: silence.wav, loudness: web }'));
    expect(level(samples, 0, 2.9)).toBeLessThan(1e-4);
    expect(said).toEqual(['The sound is silent, and stays so: it has no loudness.']);
  });
});

describe('a sound that will not do', () => {
  it.each([
    ['none.wav', /sound: .*none\.wav cannot be read as sound: No such file or directory$/u],
    ['master.png', /sound: .*master\.png has no sound in it$/u],
    ['mute.mp4', /sound: .*mute\.mp4 has no sound in it$/u],
    [
      '{ file: late.wav, start: 5 }',
      /sound\.start: takes a time within the sound, which lasts 4 s, found 5 s$/u,
    ],
  ])('is told in a sentence, by check too: %s', async (sound, message) => {
    await expect(clipOf(sound)).rejects.toThrow(message);
    await expect(checkMasters(await sceneOf(sound))).rejects.toThrow(message);
  });
});
