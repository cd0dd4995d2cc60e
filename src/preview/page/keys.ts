import { type FreeView, fovOf, zoomedBy } from '../../browser/look.js';
import { clamp, degrees } from '../../math.js';
import { directionAt } from '../../render/resolution.js';
import type { App } from './app.js';

/** Where letters are letters. */
const isTyping = (target: EventTarget | null): boolean =>
  target instanceof HTMLElement &&
  target.closest('input:not([type=range]):not([type=radio]), textarea, select, dialog') !== null;

/** Everything by keyboard. */
export function listenToKeys(app: App, canvas: HTMLCanvasElement): void {
  addEventListener('keydown', (event) => {
    const { ctrlKey, metaKey, altKey, target } = event;
    const command = ctrlKey || metaKey;
    if (altKey || (isTyping(target) && !(command && event.key.toLowerCase() === 's'))) return;
    const done = command
      ? withCommand(event, app)
      : onBead(event, app) || (target === canvas && onPicture(event, app)) || anywhere(event, app);
    if (done) event.preventDefault();
  });
}

function withCommand({ key, shiftKey }: KeyboardEvent, { store, actions, scenery }: App): boolean {
  const here = scenery.keyframeAt(store.shown.time);
  const hasSelection = String(getSelection() ?? '') !== '';
  switch (key.toLowerCase()) {
    case 's':
      void actions.save();
      return true;
    case 'z':
      void actions.undo(shiftKey ? 1 : -1);
      return true;
    case 'y':
      void actions.undo(1);
      return true;
    case 'c':
      if (here === undefined || hasSelection) return false;
      actions.copyKeyframe(here.path);
      return true;
    case 'v':
      void actions.paste();
      return true;
    default:
      return false;
  }
}

function onBead({ key, shiftKey, target }: KeyboardEvent, { actions, scenery }: App): boolean {
  const path = (target as HTMLElement | null)?.dataset?.path;
  const keyframe = path === undefined ? undefined : scenery.keyframe(path);
  if (keyframe === undefined) return false;
  const frames = shiftKey ? 10 : 1;
  const fps = scenery.scene?.fps ?? 30;
  const by = { ArrowLeft: -frames, ArrowRight: frames }[key];
  if (by !== undefined) void actions.moveKeyframe(keyframe.path, keyframe.time + by / fps);
  else if (key === 'Delete' || key === 'Backspace') void actions.removeKeyframe(keyframe.path);
  else return false;
  return true;
}

/** A part of the field of view. */
const STEP = 1 / 14;
const SMALL_STEP = 1 / 140;

function onPicture({ key, shiftKey }: KeyboardEvent, app: App): boolean {
  const { motion, scenery, store } = app;
  const { view } = scenery;
  if (view === undefined) return false;
  if (key === 'Enter' && store.shown.placing) {
    placeInMiddle(app);
    return true;
  }
  const step = Math.min(120, fovOf(view.fov).degrees) * (shiftKey ? SMALL_STEP : STEP);
  const turns: Readonly<Record<string, (view: FreeView) => FreeView>> = {
    ArrowLeft: (v) => ({ ...v, yaw: v.yaw - step }),
    ArrowRight: (v) => ({ ...v, yaw: v.yaw + step }),
    ArrowUp: (v) => ({ ...v, pitch: clamp(v.pitch + step, -90, 90) }),
    ArrowDown: (v) => ({ ...v, pitch: clamp(v.pitch - step, -90, 90) }),
  };
  const turn = turns[key];
  if (turn === undefined) return false;
  motion.look(turn);
  return true;
}

function placeInMiddle({ scenery, store }: App): void {
  const { shape } = scenery;
  const camera = shape && scenery.camera(shape.width, shape.height);
  if (camera === undefined) return;
  const [x, y, z] = directionAt(camera, 0, 0);
  const placed = {
    yaw: degrees(Math.atan2(x, -z)),
    pitch: degrees(Math.atan2(y, Math.hypot(x, z))),
  };
  store.set({ placing: false, placed, dialog: 'mark' });
}

function anywhere({ key, target }: KeyboardEvent, app: App): boolean {
  const { store, actions, motion, scenery } = app;
  const { shape } = scenery;
  const { playing, time, placing } = store.shown;
  const here = scenery.keyframeAt(time);
  const isButton =
    target instanceof HTMLElement && target.closest('button, a, [type=radio]') !== null;
  const roll = (by: number) => motion.look((view) => ({ ...view, roll: view.roll + by }));
  const zoom = (by: number) => shape && motion.look((view) => zoomedBy(view, by, shape));
  const keys: Readonly<Record<string, () => unknown>> = {
    ...(isButton ? {} : { ' ': () => motion.play(!playing) }),
    ',': () => actions.step(-1),
    '.': () => actions.step(1),
    PageUp: () => actions.toKeyframe(-1),
    PageDown: () => actions.toKeyframe(1),
    Home: () => actions.seek(0),
    End: () => actions.seek(scenery.scene?.duration ?? 0),
    '+': () => zoom(1 / 1.08),
    '=': () => zoom(1 / 1.08),
    '-': () => zoom(1.08),
    q: () => roll(-2),
    e: () => roll(2),
    l: () => motion.level(),
    k: () => actions.setKeyframe(),
    m: () => store.set({ placing: !placing }),
    Delete: () => here && actions.removeKeyframe(here.path),
    Escape: () => store.set(placing ? { placing: false } : { free: undefined }),
    '?': () => store.set({ dialog: 'keys' }),
  };
  const action = keys[key.length === 1 ? key.toLowerCase() : key];
  if (action === undefined) return false;
  action();
  return true;
}
