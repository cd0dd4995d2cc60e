/** Longest side of a canvas in pixels, so that no device is asked too much. */
const LONGEST = 3840;

/**
 * Milliseconds a frame of a moving view, on average: above the one it is drawn more simply, above the
 * other smaller too.
 */
const [SLOW, SLUGGISH] = [28, 50];

/** How finely a canvas is drawn: as the device has the time for it while there is motion. */
export class CanvasSize {
  readonly #canvas: HTMLCanvasElement;
  readonly #isSoftware: boolean;
  /** Milliseconds that a frame of a moving view took of late. */
  #pace: number;
  #moved = false;

  constructor(canvas: HTMLCanvasElement, isSoftware: boolean) {
    this.#canvas = canvas;
    this.#isSoftware = isSoftware;
    this.#pace = isSoftware ? 2 * SLUGGISH : 0;
  }

  /**
   * Gives the canvas as many pixels as suit it now.
   *
   * @param passed milliseconds since the frame before
   * @returns whether the frame is to be drawn quickly
   */
  fit(moves: boolean, passed: number): boolean {
    if (moves && this.#moved) this.#pace = this.#pace * 0.9 + passed * 0.1;
    this.#moved = moves;
    const { clientWidth, clientHeight } = this.#canvas;
    const most = LONGEST / Math.max(clientWidth, clientHeight, 1);
    const own = this.#isSoftware ? 1 : Math.min(devicePixelRatio || 1, most);
    const ratio = moves && this.#pace > SLUGGISH ? own / 2 : own;
    const [width, height] = [clientWidth * ratio, clientHeight * ratio].map(Math.round);
    if (this.#canvas.width !== width) this.#canvas.width = Math.max(1, width!);
    if (this.#canvas.height !== height) this.#canvas.height = Math.max(1, height!);
    return moves && this.#pace > SLOW;
  }
}
