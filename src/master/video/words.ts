const KEPT = 4096;

/** What a decoding ffmpeg says: the times of its frames (filter showinfo), and its complaints. */
export interface Words {
  add(text: string): void;
  /** Seconds of the next frame, in the order in which they were said. */
  nextTime(): Promise<number>;
  /** The last of its complaints. */
  errors(): string;
}

const TIME_BASE = /config in time_base: (\d+)\/(\d+)/u;
/** The tick, since the seconds that stand beside it are rounded to six digits. */
const TICK = /\[Parsed_showinfo_0 .*?\] n: *\d+ pts: *(-?\d+|NOPTS)/u;
const COMPLAINT = /\[(?:error|fatal|panic)\] ?(.*)/u;

export function createWords(): Words {
  const times: number[] = [];
  let base = 1;
  let rest = '';
  let complaints = '';
  let wake: (() => void) | undefined;
  const line = (text: string) => {
    const [, ticks] = TICK.exec(text) ?? [];
    if (ticks !== undefined) {
      times.push(Number(ticks) * base);
      wake?.();
      return;
    }
    const [, numerator, denominator] = TIME_BASE.exec(text) ?? [];
    if (numerator !== undefined) base = Number(numerator) / Number(denominator);
    const [, complaint] = COMPLAINT.exec(text) ?? [];
    if (complaint !== undefined) complaints = `${complaints}\n${complaint}`.slice(-KEPT);
  };
  return {
    add(text) {
      const lines = (rest + text).split(/[\r\n]+/u);
      rest = lines.pop() ?? '';
      for (const each of lines) line(each);
    },
    async nextTime() {
      // The frame's bytes may arrive earlier than the words about it, which were said first.
      while (times.length === 0) {
        await new Promise<void>((done) => {
          wake = done;
        });
      }
      return times.shift()!;
    },
    errors: () => complaints,
  };
}
