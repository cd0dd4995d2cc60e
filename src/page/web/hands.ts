import { type Point, pull } from './grab.js';
import type { Stage } from './stage.js';

/** How far a wheel's notch zooms, and a key's press turns, as a part of the field of view. */
const [WHEEL, TURN] = [0.0014, 0.12];
export const ZOOM = 1.15;
/** Milliseconds: a hand that rested so long before it let go did not throw. */
const REST = 90;

/** Drag to look, pinch or wheel to zoom; the canvas keeps what was taken under the hand. */
export function listenToHands(stage: Stage): void {
  const { canvas } = stage;
  const pointers = new Map<string, { x: number; y: number; at: number }>();
  const idOf = (event: PointerEvent) => String(event.pointerId);
  const centre = () => {
    const all = [...pointers.values()];
    const mean = (of: (p: { x: number; y: number }) => number) =>
      all.reduce((sum, p) => sum + of(p), 0) / all.length;
    return { x: mean((p) => p.x), y: mean((p) => p.y) };
  };
  const span = () => {
    const [a, b] = [...pointers.values()];
    return a === undefined || b === undefined ? 0 : Math.hypot(a.x - b.x, a.y - b.y);
  };
  const onCanvas = ({ x, y }: { x: number; y: number }): Point => [
    (2 * x) / canvas.clientWidth - 1,
    1 - (2 * y) / canvas.clientHeight,
  ];
  canvas.addEventListener('pointerdown', (event) => {
    if (event.button !== 0) return;
    canvas.setPointerCapture(event.pointerId);
    pointers.set(idOf(event), { x: event.offsetX, y: event.offsetY, at: event.timeStamp });
    stage.grab();
  });
  canvas.addEventListener('pointermove', (event) => {
    const before = pointers.get(idOf(event));
    if (before === undefined) return;
    const [was, apart] = [centre(), span()];
    pointers.set(idOf(event), { x: event.offsetX, y: event.offsetY, at: event.timeStamp });
    const passed = event.timeStamp - before.at;
    stage.drag(pull(stage.camera, onCanvas(was), onCanvas(centre())), passed);
    if (pointers.size === 2 && apart > 0 && span() > 0) stage.step({ zoom: apart / span() });
  });
  const end = (event: PointerEvent) => {
    const last = pointers.get(idOf(event));
    if (last === undefined || !pointers.delete(idOf(event)) || pointers.size > 0) return;
    stage.letGo(event.timeStamp - last.at < REST);
  };
  canvas.addEventListener('pointerup', end);
  canvas.addEventListener('pointercancel', end);
  canvas.addEventListener(
    'wheel',
    (event) => {
      // Within another page the wheel scrolls that one, until this one is used.
      if (window !== window.top && !document.hasFocus()) return;
      event.preventDefault();
      const pixels = event.deltaMode === 0 ? event.deltaY : 33 * event.deltaY;
      stage.step({ zoom: Math.exp(pixels * WHEEL) });
    },
    { passive: false },
  );
  canvas.addEventListener('dblclick', () => stage.flyToStart());
}

/** What each key does; shown on the page too. */
export function listenToKeys(stage: Stage, more: Readonly<Record<string, () => void>>): void {
  const turned = (yaw: number, pitch: number) => {
    const far = Math.min(120, stage.view.fov) * TURN;
    stage.step({ yaw: yaw * far, pitch: pitch * far });
  };
  const actions: Readonly<Record<string, () => void>> = {
    ArrowLeft: () => turned(-1, 0),
    ArrowRight: () => turned(1, 0),
    ArrowUp: () => turned(0, 1),
    ArrowDown: () => turned(0, -1),
    '+': () => stage.step({ zoom: 1 / ZOOM }),
    '=': () => stage.step({ zoom: 1 / ZOOM }),
    '-': () => stage.step({ zoom: ZOOM }),
    Home: () => stage.flyToStart(),
    p: () => stage.togglePlanet(),
    ...more,
  };
  addEventListener('keydown', (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (document.querySelector('dialog[open]') !== null) return;
    const action = actions[event.key.length === 1 ? event.key.toLowerCase() : event.key];
    if (action === undefined) return;
    event.preventDefault();
    action();
  });
}
