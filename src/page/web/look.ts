import { clamp } from '../../math.js';
import { apart, between, distanceFor, held, PLANET_FOV, type View } from './view.js';

/** Milliseconds in which most of a step by key, wheel or button is done. */
const FOLLOW = 110;
/** Milliseconds in which a turn that was let go comes to rest. */
const COAST = 260;
const FLIGHT = 1700;
/** Degrees a millisecond that count as standing. */
const STANDING = 0.002;

interface Flight {
  readonly from: View;
  readonly to: View;
  readonly began: number;
  readonly lasts: number;
}

const NO_SPEED = { yaw: 0, pitch: 0 };

/** Where the viewer looks: what is wanted, and what is shown on the way there. Times in milliseconds. */
export class Look {
  readonly #start: View;
  readonly #narrowest: number;
  readonly #isCalm: () => boolean;
  #goal: View;
  #shown: View;
  #flight: Flight | undefined;
  #speed = NO_SPEED;
  #isGrabbed = false;

  /** @param isCalm whether the viewer would rather not see motion: then all is there at once */
  constructor(start: View, narrowest: number, isCalm: () => boolean) {
    this.#start = this.#goal = this.#shown = start;
    this.#narrowest = narrowest;
    this.#isCalm = isCalm;
  }

  get shown(): View {
    return this.#shown;
  }

  get goal(): View {
    return this.#goal;
  }

  get start(): View {
    return this.#start;
  }

  get isPlanet(): boolean {
    return this.#goal.fov > 170 && this.#goal.pitch < -60;
  }

  /** Goes on from there, level and through an ordinary lens. */
  stayAt(view: View): void {
    this.#flight = undefined;
    this.#shown = view;
    const wanted = { ...view, roll: 0, distance: distanceFor(view.fov) };
    this.#goal = held(wanted, this.#narrowest);
  }

  flyTo(view: View, now: number): void {
    this.#speed = NO_SPEED;
    const [from, to] = [this.#shown, held(view, this.#narrowest)];
    this.#goal = to;
    if (this.#isCalm()) this.#shown = to;
    else {
      const lasts = FLIGHT * clamp(apart(from, to) / 90, 0.4, 1);
      this.#flight = { from, to, began: now, lasts };
    }
  }

  /** Ahead of where one looks now. */
  flyToPlanet(now: number): void {
    const { yaw } = this.#shown;
    this.flyTo({ yaw, pitch: -90, roll: 0, fov: PLANET_FOV, distance: 1 }, now);
  }

  flyToLevel(now: number): void {
    this.flyTo({ ...this.#start, yaw: this.#shown.yaw }, now);
  }

  step({ yaw = 0, pitch = 0, zoom = 1 }: Step): void {
    this.#land();
    const { yaw: a, pitch: b, fov } = this.#goal;
    this.#aim({ yaw: a + yaw, pitch: b + pitch, fov: fov * zoom });
  }

  /** Turns at once, as a hand does that took so long for it. */
  drag({ yaw, pitch }: { readonly yaw: number; readonly pitch: number }, took: number): void {
    this.#land();
    this.#aim({ yaw: this.#shown.yaw + yaw, pitch: this.#shown.pitch + pitch });
    this.#turnAtOnce();
    const time = Math.max(8, took);
    const { yaw: a, pitch: b } = this.#speed;
    this.#speed = { yaw: (a + yaw / time) / 2, pitch: (b + pitch / time) / 2 };
  }

  grab(): void {
    this.#land();
    this.#isGrabbed = true;
    this.#speed = NO_SPEED;
  }

  letGo(coasts: boolean): void {
    this.#isGrabbed = false;
    if (!coasts || this.#isCalm()) this.#speed = NO_SPEED;
  }

  /** Looks where the device does. */
  point({ yaw, pitch, roll }: Pick<View, 'yaw' | 'pitch' | 'roll'>): void {
    this.#land();
    this.#goal = held({ ...this.#goal, yaw, pitch, roll }, this.#narrowest);
    this.#shown = { ...this.#shown, yaw, pitch: this.#goal.pitch, roll };
  }

  /** @returns whether there is more movement to come */
  moveOn(now: number, passed: number): boolean {
    if (this.#flight !== undefined) {
      const { from, to, began, lasts } = this.#flight;
      const t = clamp((now - began) / lasts, 0, 1);
      this.#shown = between(from, to, t * t * t * (t * (6 * t - 15) + 10));
      if (t === 1) this.#flight = undefined;
      return t < 1;
    }
    const coasts = this.#coast(passed);
    const share = this.#isCalm() ? 1 : 1 - Math.exp(-passed / FOLLOW);
    const isThere = apart(this.#shown, this.#goal) < 0.02;
    this.#shown = isThere ? this.#goal : between(this.#shown, this.#goal, share);
    return coasts || !isThere;
  }

  #coast(passed: number): boolean {
    const { yaw, pitch } = this.#speed;
    if (this.#isGrabbed || Math.hypot(yaw, pitch) === 0) return false;
    const { yaw: a, pitch: b } = this.#goal;
    this.#goal = held(
      { ...this.#goal, yaw: a + yaw * passed, pitch: b + pitch * passed },
      this.#narrowest,
    );
    this.#turnAtOnce();
    const slower = Math.exp(-passed / COAST);
    const stands = Math.hypot(yaw, pitch) * slower < STANDING;
    this.#speed = stands ? NO_SPEED : { yaw: yaw * slower, pitch: pitch * slower };
    return !stands;
  }

  /** What was on its way stays where it is. */
  #land(): void {
    if (this.#flight !== undefined) this.stayAt(this.#shown);
  }

  #aim(wanted: Partial<View>): void {
    const view = { ...this.#goal, roll: 0, ...wanted };
    this.#goal = held({ ...view, distance: distanceFor(view.fov) }, this.#narrowest);
  }

  #turnAtOnce(): void {
    const { yaw, pitch } = this.#goal;
    this.#shown = { ...this.#shown, yaw, pitch };
  }
}

/** Degrees to the right and up, and by which factor to see more. */
export interface Step {
  readonly yaw?: number;
  readonly pitch?: number;
  readonly zoom?: number;
}
