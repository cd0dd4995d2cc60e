import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { listenForStop } from '../../src/cli/signals.js';

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
    vi.advanceTimersByTime(2900);
    expect(exit).not.toHaveBeenCalled();
  });

  it('a second Ctrl-C ends it at once', () => {
    listenForStop();
    process.emit('SIGINT');
    process.emit('SIGINT');
    expect(exit).toHaveBeenCalledWith(130);
    expect(told).toBe('Interrupted.\n');
  });

  it('work that does not stop is ended after three seconds', () => {
    listenForStop();
    process.emit('SIGTERM');
    vi.advanceTimersByTime(3000);
    expect(exit).toHaveBeenCalledWith(130);
    expect(told).toBe('Interrupted.\n');
  });
});
