import { describe, expect, it } from 'vitest';
import { duration, Progress } from '../../src/cli/progress.js';

function screen(isTTY: boolean, columns = 80) {
  const written: string[] = [];
  let time = 0;
  const progress = new Progress(
    { isTTY, columns, write: (text) => written.push(text) },
    { unit: 'frames', speed: 'fps', clock: () => time },
  );
  return {
    written,
    progress,
    at(seconds: number, done: number, total = 100) {
      time = 1000 * seconds;
      progress.update({ label: 'a.mp4', done, total });
    },
  };
}

describe('progress', () => {
  it('is a plain line every five seconds where nobody looks at a terminal', () => {
    const { written, at, progress } = screen(false);
    for (let n = 1; n <= 100; n++) at(n / 8, n);
    progress.end();
    expect(written).toEqual([
      'a.mp4: 1 of 100 frames\n',
      'a.mp4: 41 of 100 frames, 8.0 fps, 8 s left\n',
      'a.mp4: 81 of 100 frames, 8.0 fps, 3 s left\n',
      'a.mp4: 100 of 100 frames, 8.0 fps\n',
    ]);
  });

  it('is a bar on a terminal, drawn over itself and removed at the end', () => {
    const { written, at, progress } = screen(true, 61);
    at(0, 0, 10);
    at(0.05, 1, 10);
    at(2, 5, 10);
    progress.end();
    expect(written).toEqual([
      '\ra.mp4  ░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░  0/10 frames\u001b[K',
      '\ra.mp4  ███████████░░░░░░░░░░  5/10 frames  2.5 fps  2 s left\u001b[K',
      '\r\u001b[K',
    ]);
  });

  it('says what goes on before, on a terminal only', () => {
    const [terminal, log] = [screen(true, 20), screen(false)];
    terminal.progress.say('Reading a long name of a master ...');
    log.progress.say('Reading a.jpg ...');
    expect(terminal.written).toEqual(['\rReading a long name\u001b[K']);
    expect(log.written).toEqual([]);
  });

  it('keeps to one line of a narrow terminal', () => {
    const { written, at } = screen(true, 30);
    at(0, 0);
    at(1, 50);
    const control = '\r\u001b[K';
    for (const line of written) expect(line.length - control.length).toBeLessThan(30);
    expect(written[1]).not.toMatch(/[█░]/);
  });

  it('takes its speed from the last seconds', () => {
    const { written, at } = screen(true);
    at(0, 0, 1000);
    at(100, 10, 1000);
    for (let s = 101; s <= 120; s++) at(s, 10 + 10 * (s - 100), 1000);
    expect(written.at(-1)).toContain('210/1000 frames  10.0 fps  1 min 19 s left');
  });

  it('says each step of a work at once, and takes the time that is left from all of it', () => {
    const written: string[] = [];
    let time = 0;
    const progress = new Progress(
      { write: (text) => written.push(text) },
      { unit: '%', clock: () => time },
    );
    // Steps go by at different paces.
    for (const [seconds, label, done] of [
      [0, 'reading', 0],
      [1, 'turning', 10],
      [5, 'turning', 50],
      [20, 'turning', 51],
      [22, 'writing', 52],
    ] as const) {
      time = 1000 * seconds;
      progress.update({ label, done, total: 100 });
    }
    expect(written).toEqual([
      'reading: 0%\n',
      'turning: 10%, 9 s left\n',
      'turning: 51%, 20 s left\n',
      'writing: 52%, 21 s left\n',
    ]);
  });

  it.each([
    [0.2, '1 s'],
    [59, '59 s'],
    [65, '1 min 05 s'],
    [4321, '1 h 12 min'],
  ])('%f seconds are %s', (seconds, text) => {
    expect(duration(seconds)).toBe(text);
  });
});
