import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { listenForStop } from '../../src/cli/signals.js';

const source = (path: string) => new URL(`../../src/${path}`, import.meta.url).href;

const SIGNALS = ['SIGINT', 'SIGTERM', 'SIGHUP'] as const;

describe('stopping', () => {
  const before = SIGNALS.map((signal) => process.listeners(signal));
  let exit = vi.fn();
  let told = '';

  beforeEach(() => {
    for (const signal of SIGNALS) process.removeAllListeners(signal);
    vi.useFakeTimers();
    told = '';
    exit = vi.fn();
    vi.spyOn(process, 'exit').mockImplementation(exit as never);
    vi.spyOn(process, 'prependOnceListener').mockReturnThis();
    vi.spyOn(process.stderr, 'write').mockImplementation((text) => {
      told += String(text);
      return true;
    });
  });

  afterEach(() => {
    vi.restoreAllMocks();
    vi.useRealTimers();
    for (const [index, signal] of SIGNALS.entries()) {
      process.removeAllListeners(signal);
      for (const listener of before[index] ?? []) process.on(signal, listener);
    }
  });

  it.each(SIGNALS)('%s asks the work to stop and lets it put things away', (signal) => {
    const asked = listenForStop();
    expect(asked.aborted).toBe(false);
    process.emit(signal);
    expect(asked.aborted).toBe(true);
    vi.advanceTimersByTime(1900);
    expect(exit).not.toHaveBeenCalled();
  });

  it('a second Ctrl-C ends it at once', () => {
    listenForStop();
    process.emit('SIGINT');
    process.emit('SIGINT');
    expect(exit).toHaveBeenCalledWith(130);
    expect(told).toBe('Interrupted.\n');
  });

  it('work that does not stop is ended after two seconds', () => {
    listenForStop();
    process.emit('SIGTERM');
    vi.advanceTimersByTime(2000);
    expect(exit).toHaveBeenCalledWith(130);
    expect(told).toBe('Interrupted.\n');
  });
});

it('Ctrl-C ends a process in which libvips is at work', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'orbreel-signals-'));
  const file = join(folder, 'large.png');
  const code = `
    import sharp from 'sharp';
    import { listenForStop } from ${JSON.stringify(source('cli/signals.ts'))};
    import { temporaryBeside } from ${JSON.stringify(source('encode/temporary.ts'))};
    listenForStop();
    const part = temporaryBeside(${JSON.stringify(file)});
    const create = { width: 16000, height: 16000, channels: 3, background: '#123' };
    sharp({ create: { ...create, noise: { type: 'gaussian', mean: 128, sigma: 30 } } })
      .png({ compressionLevel: 9 })
      .toFile(part);
    setTimeout(() => console.log('at work'), 500);`;
  const args = ['--import', 'tsx', '--input-type=module', '--eval', code];
  const child = spawn(process.execPath, args, { stdio: ['ignore', 'pipe', 'inherit'] });
  await once(child.stdout, 'data');
  const start = performance.now();
  child.kill('SIGINT');
  const [, signal] = await once(child, 'exit');
  expect(signal).toBe('SIGINT');
  // Without ending by the signal it takes minutes.
  expect(performance.now() - start).toBeLessThan(20_000);
  expect(readdirSync(folder)).toEqual([]);
  rmSync(folder, { recursive: true });
});
