import { type ChildProcess, fork } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { InputError } from '../errors.js';
import type { WorkState } from './protocol.js';

/** What the child is to render. */
export interface WorkOrder {
  readonly kind: 'still' | 'clip';
  /** The scene's text, saved or not, and where it is. */
  readonly text: string;
  readonly sceneFile: string;
  readonly shape: string;
  /** Seconds of the whole clip. */
  readonly at: number;
  readonly quality: 'draft' | 'final' | 'best';
  /** Absolute; nothing is there yet. */
  readonly file: string;
}

/** What the child says while it renders. */
export type WorkReport =
  | { readonly kind: 'progress'; readonly done: number; readonly total: number }
  | { readonly kind: 'end'; readonly problem?: string };

const CHILD = fileURLToPath(
  new URL(import.meta.url.endsWith('.ts') ? './work.ts' : './work.js', import.meta.url),
);

/** How long a child may take to put its things away, in ms. */
const GRACE = 3000;

/** Renders in a process of its own, so that the page goes on meanwhile; one work at a time. */
export class Works {
  state: WorkState | undefined;
  readonly #changed: () => void;
  #child: ChildProcess | undefined;
  #count = 0;

  constructor(changed: () => void) {
    this.#changed = changed;
  }

  /** @throws InputError while another work goes on */
  start(order: WorkOrder, what: string): void {
    if (this.#child !== undefined) throw new InputError('Something is being rendered already.');
    const child = fork(CHILD, { stdio: ['ignore', 'ignore', 'pipe', 'ipc'] });
    this.#child = child;
    const base = { id: ++this.#count, what, done: 0, total: 1 };
    this.#tell({ ...base, state: 'going', message: '' });
    let ended = false;
    let lastWords = '';
    child.stderr?.setEncoding('utf8').on('data', (text: string) => {
      lastWords = (lastWords + text).slice(-500);
    });
    child.on('message', (report: WorkReport) => {
      if (report.kind === 'progress') this.#tell({ done: report.done, total: report.total });
      else {
        ended = true;
        if (report.problem !== undefined) this.#tell({ state: 'failed', message: report.problem });
        else this.#tell({ state: 'done', done: 1, total: 1, message: order.file });
      }
    });
    child.once('error', (error) => this.#tell({ state: 'failed', message: error.message }));
    child.once('close', () => {
      this.#child = undefined;
      if (ended || this.state?.state !== 'going') return this.#changed();
      const message = lastWords.trim().split('\n').at(-1) ?? '';
      this.#tell({ state: 'failed', message: message || 'The rendering ended by itself.' });
    });
    child.send(order);
  }

  stop(): void {
    const child = this.#child;
    if (child === undefined) return;
    this.#tell({ state: 'stopped', message: '' });
    child.kill('SIGTERM');
    setTimeout(() => child.kill('SIGKILL'), GRACE).unref();
  }

  #tell(facts: Partial<WorkState>): void {
    this.state = { ...this.state!, ...facts };
    this.#changed();
  }
}
