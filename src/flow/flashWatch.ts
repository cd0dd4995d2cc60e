import { createFlashMeter, type FlashMeter } from '../comfort/flashes.js';
import { type LuminanceGrid, luminanceGrid } from '../comfort/luminance.js';
import type { PixelFormat } from '../encode/types.js';
import type { ClipJob, Delivery } from './jobs.js';

/** Measures the flashes of clips from the very frames that are encoded. */
export class FlashWatch {
  readonly #fps: number;
  readonly #meters = new Map<Delivery, { grid: LuminanceGrid; meter: FlashMeter }>();

  constructor(fps: number) {
    this.#fps = fps;
  }

  add(delivery: Delivery, format: PixelFormat, frame: Uint8Array): void {
    const { grid, meter } = this.#meters.get(delivery) ?? this.#begin(delivery);
    meter.add(grid.of(frame, format));
  }

  tell(onFlashing: ClipJob['onFlashing']): void {
    for (const [delivery, { meter }] of this.#meters) {
      for (const flashing of meter.found()) onFlashing?.(delivery, flashing);
    }
  }

  #begin(delivery: Delivery) {
    const { width, height } = delivery.output;
    const grid = luminanceGrid(width, height);
    const begun = { grid, meter: createFlashMeter(grid, this.#fps) };
    this.#meters.set(delivery, begun);
    return begun;
  }
}
