import { type FreeView, zoomedBy } from '../../browser/look.js';
import { clamp, degrees, mix, radians } from '../../math.js';
import { directionAt, resolutionAt } from '../../render/resolution.js';
import type { App } from './app.js';

const smoothstep = (low: number, high: number, x: number): number => {
  const t = clamp((x - low) / (high - low), 0, 1);
  return t * t * (3 - 2 * t);
};

/** Drag, wheel, pinch, double click and the placing of marks, on the picture. */
export function listenOnPicture(canvas: HTMLCanvasElement, app: App): void {
  const { store, motion, scenery } = app;
  const fingers = new Map<number, { x: number; y: number }>();
  let spread = 0;

  const place = ({ clientX, clientY }: MouseEvent) => {
    const box = canvas.getBoundingClientRect();
    return { x: clientX - box.left, y: clientY - box.top, width: box.width, height: box.height };
  };
  const spreadOf = () => {
    const [a, b] = [...fingers.values()];
    return a && b ? Math.hypot(a.x - b.x, a.y - b.y) : 0;
  };

  canvas.addEventListener('pointerdown', (event) => {
    if (event.button !== 0) return;
    if (store.shown.placing) {
      placeMark(app, place(event));
      return;
    }
    canvas.setPointerCapture(event.pointerId);
    fingers.set(event.pointerId, place(event));
    spread = spreadOf();
  });
  canvas.addEventListener('pointermove', (event) => {
    const before = fingers.get(event.pointerId);
    if (before === undefined) return;
    const now = place(event);
    fingers.set(event.pointerId, now);
    if (fingers.size === 1) {
      if (now.x === before.x && now.y === before.y) return;
      motion.look((view) => dragged(view, before, now, app));
    } else {
      const wide = spreadOf();
      const { shape } = scenery;
      if (spread > 0 && wide > 0 && shape)
        motion.look((view) => zoomedBy(view, spread / wide, shape));
      spread = wide;
    }
  });
  const lift = ({ pointerId }: PointerEvent) => {
    fingers.delete(pointerId);
    spread = spreadOf();
  };
  canvas.addEventListener('pointerup', lift);
  canvas.addEventListener('pointercancel', lift);
  canvas.addEventListener(
    'wheel',
    (event) => {
      const { shape } = scenery;
      if (shape === undefined) return;
      event.preventDefault();
      // Lines and pages count for as many pixels as they usually have.
      const pixels = event.deltaY * ([1, 16, 200][event.deltaMode] ?? 1);
      motion.look((view) => zoomedBy(view, Math.exp(clamp(pixels, -200, 200) / 700), shape));
    },
    { passive: false },
  );
  canvas.addEventListener('dblclick', () => motion.level());
}

interface Spot {
  readonly x: number;
  readonly y: number;
}

/** The view after a drag, in CSS pixels: what lies under the pointer comes along. */
function dragged(
  view: FreeView,
  from: Spot,
  to: Spot & { width: number; height: number },
  { scenery }: App,
): FreeView {
  const camera = scenery.camera(to.width, to.height);
  if (camera === undefined) return view;
  const perPixel = degrees(
    1 / Math.max(1e-6, resolutionAt(camera, to.width, to.height, 0, 0).finer),
  );
  const turned = radians(view.roll);
  const [rx, ry] = [to.x - from.x, to.y - from.y];
  // The roll turned the picture; a drag goes along the level.
  const dx = rx * Math.cos(turned) - ry * Math.sin(turned);
  const dy = rx * Math.sin(turned) + ry * Math.cos(turned);
  // Straight up or down, sideways is round the frame's middle.
  const steep = smoothstep(55, 82, Math.abs(view.pitch));
  const [cx, cy] = [to.width / 2, to.height / 2];
  const round = degrees(
    angleBetween([from.x - cx, from.y - cy], [to.x - cx, to.y - cy]) * (view.pitch < 0 ? -1 : 1),
  );
  const across = (-dx * perPixel) / Math.max(0.3, Math.cos(radians(view.pitch)));
  const off = Math.hypot(to.x - cx, to.y - cy);
  const radial = off < 1 ? 1 : Math.abs(to.y - cy) / off;
  return {
    ...view,
    yaw: view.yaw + mix(across, round, steep),
    pitch: clamp(view.pitch + dy * perPixel * mix(1, radial, steep), -90, 90),
  };
}

/** Radians from one point to another round the origin, clockwise on the screen. */
function angleBetween([ax, ay]: readonly [number, number], [bx, by]: readonly [number, number]) {
  return Math.atan2(ax * by - ay * bx, ax * bx + ay * by);
}

function placeMark(
  { store, scenery }: App,
  { x, y, width, height }: Spot & { width: number; height: number },
): void {
  const camera = scenery.camera(width, height);
  if (camera === undefined) return;
  const [dx, dy, dz] = directionAt(camera, (2 * x) / width - 1, 1 - (2 * y) / height);
  const placed = {
    yaw: degrees(Math.atan2(dx, -dz)),
    pitch: degrees(Math.atan2(dy, Math.hypot(dx, dz))),
  };
  store.set({ placing: false, placed, dialog: 'mark' });
}
