import { quat } from 'gl-matrix';
import { anglesOf } from '../../camera/orientation.js';
import type { Orientation } from '../../camera/types.js';
import { radians } from '../../math.js';
import type { Stage } from './stage.js';

interface Asking {
  requestPermission?: () => Promise<'granted' | 'denied'>;
}

/** Milliseconds after which a device that says nothing has nothing to say. */
const PATIENCE = 1500;

/** Whether it is worth offering: a hand-held device that may know how it is held. */
export const mayTellOrientation = (): boolean =>
  'DeviceOrientationEvent' in window && matchMedia('(pointer: coarse)').matches;

/**
 * How a device is held, as a camera that looks out of its back.
 *
 * Angles as in W3C's "Device Orientation and Motion": the intrinsic turns Z (alpha), X (beta), Y (gamma)
 * from lying flat, its top to the north; `screen` is how far the page is turned on it. Degrees.
 */
export function orientationHeld(
  alpha: number,
  beta: number,
  gamma: number,
  screen: number,
): Orientation {
  const out: [number, number, number, number] = [0, 0, 0, 1];
  // The event's earth has z up and y to the north, ours y up and -z ahead: a quarter turn about x.
  quat.rotateX(out, out, -Math.PI / 2);
  quat.rotateZ(out, out, radians(alpha));
  quat.rotateX(out, out, radians(beta));
  quat.rotateY(out, out, radians(gamma));
  quat.rotateZ(out, out, radians(-screen));
  return out;
}

/** Looks where the device does. Resolves to what to tell the viewer when that does not work. */
export class Device {
  readonly #stage: Stage;
  #turn = 0;
  #isOn = false;
  #saidSomething: (() => void) | undefined;
  #last: { yaw: number } | undefined;

  constructor(stage: Stage) {
    this.#stage = stage;
  }

  get isOn(): boolean {
    return this.#isOn;
  }

  /** To be called within a click: some systems ask for a permission then. */
  async start(): Promise<string | undefined> {
    const asking = window.DeviceOrientationEvent as unknown as Asking;
    const answer = await asking.requestPermission?.().catch(() => 'denied' as const);
    if (answer === 'denied') return 'This page was not allowed to know how the device is held.';
    this.#isOn = true;
    this.#last = undefined;
    const heard = new Promise<true>((resolve) => {
      this.#saidSomething = () => resolve(true);
    });
    addEventListener('deviceorientation', this.#follow);
    const silence = new Promise<false>((resolve) => setTimeout(() => resolve(false), PATIENCE));
    if (await Promise.race([heard, silence])) return undefined;
    this.stop();
    return 'This device does not say how it is held.';
  }

  stop(): void {
    this.#isOn = false;
    removeEventListener('deviceorientation', this.#follow);
  }

  readonly #follow = ({ alpha, beta, gamma }: DeviceOrientationEvent): void => {
    if (alpha === null || beta === null || gamma === null) return;
    this.#saidSomething?.();
    const screen = window.screen.orientation?.angle ?? 0;
    const { yaw, pitch, roll } = anglesOf(orientationHeld(alpha, beta, gamma, screen));
    // A hand may turn on from where the device looks; what the viewer saw at first stays ahead.
    if (this.#last === undefined) this.#turn = this.#stage.view.yaw - yaw;
    else this.#turn += this.#stage.view.yaw - this.#last.yaw;
    const own = yaw + this.#turn;
    this.#stage.point({ yaw: own, pitch, roll });
    this.#last = { yaw: own };
  };
}
