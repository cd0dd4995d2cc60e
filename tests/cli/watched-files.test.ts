import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { WatchedFiles } from '../../src/cli/watched-files.js';

describe('watched files', () => {
  let folder = '';
  let files = new WatchedFiles();
  const write = (name: string, text: string) => writeFileSync(join(folder, name), text);
  const reads = (...names: string[]) => {
    files.begin();
    for (const name of names) files.add(join(folder, name));
  };
  /** Whether a change shows; the wait is ended from outside where none is due. */
  const waits = async () => {
    const stop = new AbortController();
    const waiting = files.change(stop.signal).then((since) => since > 0);
    setImmediate(() => stop.abort());
    return !(await waiting);
  };
  const change = () => files.change(new AbortController().signal);

  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), 'orbreel-watched-'));
    files = new WatchedFiles();
    write('a', '1');
    write('b', '1');
  });
  afterEach(() => {
    files.close();
    rmSync(folder, { recursive: true, force: true });
  });

  it('show what was saved while they were being used', async () => {
    reads('a');
    write('a', 'two');
    expect(await change()).toBeGreaterThan(0);
  });

  it('show what is saved while one waits, also a file that was not there', async () => {
    reads('a', 'c');
    const waiting = change();
    write('c', 'new');
    expect(await waiting).toBeGreaterThan(0);
  });

  it('do not show others, nor those that were read before only', async () => {
    reads('a', 'b');
    reads('a');
    write('b', 'two');
    write('c', 'new');
    expect(await waits()).toBe(true);
  });

  it('show those of before where the last use of them failed, once', async () => {
    reads('a', 'b');
    reads('a');
    files.failed();
    write('b', 'two');
    expect(await change()).toBeGreaterThan(0);
    reads('a');
    files.failed();
    expect(await waits()).toBe(true);
  });
});
