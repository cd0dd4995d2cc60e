import { once } from 'node:events';
import { availableParallelism } from 'node:os';
import { extname } from 'node:path';
import { Worker } from 'node:worker_threads';
import { expectGoing, WorkError } from '../../errors.js';
import { newSamples, type Samples } from '../pixels.js';
import { polarRowsOf } from './polar.js';
import { resampleRows } from './resample.js';
import type { Sphere } from './sphere.js';
import type { StripDone, WorkerData } from './worker.js';

const ROWS = 32;
/** Below so many pixels, starting threads takes longer than they save. */
const WORTH_THREADS = 4e6;
/** More gain little: writing the strips keeps pace with about so many. */
const MOST_THREADS = 16;

export interface StripsJob {
  /** Samples in shared memory. */
  readonly sphere: Sphere;
  /** As `resampleRows` takes it. */
  readonly rotation: readonly number[];
  readonly threads?: number;
  readonly signal?: AbortSignal;
  /** Takes each strip of whole rows, in no order; awaited before its thread goes on. */
  take(first: number, strip: Samples): Promise<void>;
  onShare(share: number): void;
}

/** Resamples a whole sphere in strips, by several threads where that pays. */
export async function resampleStrips(job: StripsJob): Promise<void> {
  const sphere = { ...job.sphere, polar: polarRowsOf(job.sphere) };
  const { width, height } = sphere;
  const strips = Math.ceil(height / ROWS);
  const wanted = job.threads ?? Math.min(MOST_THREADS, availableParallelism());
  const threads = Math.min(strips, wanted);
  let next = 0;
  let done = 0;
  const rows: Rows = {
    next() {
      const first = next;
      next += ROWS;
      return first < height ? first : undefined;
    },
    async take({ first, strip }) {
      expectGoing(job.signal);
      await job.take(first, strip);
      job.onShare(++done / strips);
    },
  };
  if (threads <= 1 || width * height < WORTH_THREADS) return here({ ...job, sphere }, rows);
  const workers = Array.from({ length: threads }, () => startWorker({ ...job, sphere }));
  try {
    await Promise.all(workers.map((worker) => drive(worker, rows)));
  } finally {
    await Promise.all(workers.map((worker) => worker.terminate()));
  }
}

interface Rows {
  /** The first row of the next strip; undefined when there is none. */
  next(): number | undefined;
  take(done: StripDone): Promise<void>;
}

async function here({ sphere, rotation }: StripsJob, rows: Rows): Promise<void> {
  const depth = sphere.data instanceof Uint16Array ? 16 : 8;
  for (let first = rows.next(); first !== undefined; first = rows.next()) {
    const end = Math.min(sphere.height, first + ROWS);
    const strip = newSamples(depth, (end - first) * sphere.width * 3);
    resampleRows(sphere, rotation, first, end, strip);
    await rows.take({ first, strip });
    await new Promise((done) => setImmediate(done));
  }
}

function startWorker({ sphere, rotation }: StripsJob): Worker {
  const workerData: WorkerData = { sphere, rotation, rows: ROWS };
  const extension = extname(import.meta.url);
  const worker = new URL(`./worker${extension}`, import.meta.url);
  if (extension !== '.ts') return new Worker(worker, { workerData });
  // Run from its sources, by tests, it needs their loader in the thread too.
  const loader = import.meta.resolve('tsx/esm/api');
  const code = `import(${JSON.stringify(loader)}).then(({ register }) => {
    register();
    return import(${JSON.stringify(worker)});
  })`;
  return new Worker(code, { workerData, eval: true });
}

async function drive(worker: Worker, rows: Rows): Promise<void> {
  const failed = new AbortController();
  worker.once('exit', () => failed.abort());
  for (let first = rows.next(); first !== undefined; first = rows.next()) {
    worker.postMessage(first);
    const [done] = await once(worker, 'message', { signal: failed.signal }).catch((error) => {
      throw new WorkError(
        `A thread that turns the picture ended early: ${(error as Error).message}.`,
      );
    });
    await rows.take(done as StripDone);
  }
}
