/** What progress is drawn on: process.stderr, or a stand-in. */
export interface Screen {
  readonly isTTY?: boolean;
  readonly columns?: number;
  write(text: string): unknown;
}

export interface Step {
  /** What is being made. */
  readonly label: string;
  readonly done: number;
  readonly total: number;
}

export interface ProgressOptions {
  /** What is counted: `frames`; or `%`, when `done` is of 100. */
  readonly unit: string;
  /** The speed's unit, when it is worth telling: `fps`. */
  readonly speed?: string;
  /** Milliseconds. */
  readonly clock?: () => number;
}

/** Between two drawings, in ms: of the bar, and of the plain lines of a log. */
const BAR_PAUSE = 100;
const LINE_PAUSE = 5000;
/** The speed of what is counted is that of the last so many ms; shares of a work of several steps go by its whole time. */
const WINDOW = 8000;

const LONGEST_BAR = 30;
const SHORTEST_BAR = 8;

/** A bar that redraws itself on a terminal, a plain line every few seconds elsewhere. */
export class Progress {
  readonly #screen: Screen;
  readonly #options: ProgressOptions;
  readonly #clock: () => number;
  readonly #marks: { readonly time: number; readonly done: number }[] = [];
  #drawn = Number.NEGATIVE_INFINITY;
  #label = '';
  #open = false;

  constructor(screen: Screen, options: ProgressOptions) {
    this.#screen = screen;
    this.#options = options;
    this.#clock = options.clock ?? (() => performance.now());
  }

  /** Says what goes on before anything can be counted; on a terminal only. */
  say(text: string): void {
    if (this.#screen.isTTY) this.#drawLine(text);
  }

  update(step: Step): void {
    const time = this.#clock();
    this.#marks.push({ time, done: step.done });
    const window = this.#options.unit === '%' ? Number.POSITIVE_INFINITY : WINDOW;
    while (time - (this.#marks[1]?.time ?? time) >= window) this.#marks.shift();
    const pause = this.#screen.isTTY ? BAR_PAUSE : LINE_PAUSE;
    const isNew = step.label !== this.#label || step.done >= step.total;
    if (!isNew && time - this.#drawn < pause) return;
    [this.#drawn, this.#label] = [time, step.label];
    if (this.#screen.isTTY) this.#drawBar(step);
    else this.#screen.write(`${step.label}: ${this.#facts(step, ' of ').join(', ')}\n`);
  }

  /** Removes the bar; what is printed next begins on a clean line. */
  end(): void {
    if (this.#open) this.#screen.write('\r\u001b[K');
    this.#open = false;
  }

  /** One less than the terminal's, so that no line wraps. */
  get #width(): number {
    return (this.#screen.columns || 80) - 1;
  }

  #drawBar(step: Step): void {
    const facts = this.#facts(step, '/').join('  ');
    const room = this.#width - step.label.length - facts.length - 4;
    const bar = room < SHORTEST_BAR ? '' : `${barOf(step, Math.min(room, LONGEST_BAR))}  `;
    this.#drawLine(`${step.label}  ${bar}${facts}`);
  }

  #drawLine(text: string): void {
    this.#screen.write(`\r${text.slice(0, this.#width)}\u001b[K`);
    this.#open = true;
  }

  #facts({ done, total }: Step, of: string): string[] {
    const { unit, speed } = this.#options;
    const pace = this.#pace();
    return [
      unit === '%' ? `${done}%` : `${done}${of}${total} ${unit}`,
      ...(pace === undefined || speed === undefined ? [] : [`${pace.toFixed(1)} ${speed}`]),
      ...(pace === undefined || done >= total ? [] : [`${duration((total - done) / pace)} left`]),
    ];
  }

  /** Units per second, once that can be told. */
  #pace(): number | undefined {
    const [first, last] = [this.#marks[0], this.#marks.at(-1)];
    if (first === undefined || last === undefined) return undefined;
    const seconds = (last.time - first.time) / 1000;
    return seconds > 0 && last.done > first.done ? (last.done - first.done) / seconds : undefined;
  }
}

function barOf({ done, total }: Step, width: number): string {
  const full = Math.round((width * done) / Math.max(1, total));
  return '█'.repeat(full) + '░'.repeat(width - full);
}

/** 9 s, 2 min 05 s, 1 h 12 min. */
export function duration(seconds: number): string {
  const whole = Math.ceil(seconds);
  if (whole < 60) return `${whole} s`;
  const minutes = Math.floor(whole / 60);
  if (minutes < 60) return `${minutes} min ${String(whole % 60).padStart(2, '0')} s`;
  return `${Math.floor(minutes / 60)} h ${String(minutes % 60).padStart(2, '0')} min`;
}
