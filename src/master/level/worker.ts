import { parentPort, workerData } from 'node:worker_threads';
import { newSamples, type Samples } from '../pixels.js';
import { resampleRows } from './resample.js';
import type { Sphere } from './sphere.js';

/** What a resampling thread is given once, and then the first row of each strip. */
export interface WorkerData {
  /** Its samples are shared memory. */
  readonly sphere: Sphere;
  readonly rotation: readonly number[];
  /** Rows a strip. */
  readonly rows: number;
}

export interface StripDone {
  readonly first: number;
  readonly strip: Samples;
}

const { sphere, rotation, rows } = workerData as WorkerData;
const depth = sphere.data instanceof Uint16Array ? 16 : 8;

parentPort?.on('message', (first: number) => {
  const end = Math.min(sphere.height, first + rows);
  const strip = newSamples(depth, (end - first) * sphere.width * 3);
  resampleRows(sphere, rotation, first, end, strip);
  const done: StripDone = { first, strip };
  parentPort?.postMessage(done, [strip.buffer as ArrayBuffer]);
});
