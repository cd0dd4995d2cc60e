import './style.css';
import { html, render } from 'lit';
import { Actions } from './actions.js';
import { follow, texelsOf } from './api.js';
import type { App } from './app.js';
import { banners } from './banners.js';
import { dialogs } from './dialogs.js';
import { followFrames } from './frames.js';
import { header } from './header.js';
import { listenToKeys } from './keys.js';
import { Motion } from './motion.js';
import { followOverlays } from './overlays.js';
import { Painter } from './painter.js';
import { listenOnPicture } from './pointer.js';
import { Scenery } from './scenery.js';
import { side } from './side.js';
import { stage } from './stage.js';
import { type Shown, Store } from './store.js';
import { timeline } from './timeline.js';

const store = new Store();
const scenery = new Scenery(store);
const app: App = {
  store,
  scenery,
  actions: new Actions(store, scenery),
  motion: new Motion(store, scenery),
};

const canvas = document.createElement('canvas');
canvas.id = 'picture';
canvas.tabIndex = 0;
canvas.setAttribute('role', 'application');
canvas.setAttribute(
  'aria-label',
  'The picture. Arrow keys look around, plus and minus zoom, Q and E roll, L levels.',
);

const root = document.querySelector<HTMLElement>('#app')!;

function draw(): void {
  const { theme, said, server } = store.shown;
  if (theme === 'auto') delete document.documentElement.dataset.theme;
  else document.documentElement.dataset.theme = theme;
  document.title =
    server === undefined ? 'Orbreel' : `${server.isSaved ? '' : '● '}${server.name} – Orbreel`;
  render(
    html`${header(app)} ${banners(app)}
      <main class="main">${stage(app, canvas)} ${side(app)} ${timeline(app)}</main>
      ${dialogs(app)}
      <p class="hidden" role="status" aria-live="polite" id="said">${said}</p>`,
    root,
  );
  openDialog();
}

function openDialog(): void {
  const dialog = document.querySelector<HTMLDialogElement>('#dialog');
  const wanted = store.shown.dialog !== undefined;
  if (dialog === null || dialog.open === wanted) return;
  if (!wanted) {
    dialog.close();
    return;
  }
  dialog.showModal();
  const first = dialog.querySelector<HTMLElement>('[autofocus]');
  first?.focus();
  // A text is read from its start.
  if (first instanceof HTMLTextAreaElement) first.setSelectionRange(0, 0);
}

const painter = new Painter(app, canvas);

/** While it plays, what stands still is drawn anew only so often, in ms. */
const CALM = 120;
let drawnAt = 0;
let drawn: Shown | undefined;

function frame(now: number): void {
  app.motion.tick(now);
  const { shown } = store;
  const due = !shown.playing || shown.playing !== drawn?.playing || now - drawnAt > CALM;
  if (shown !== drawn && due) {
    draw();
    [drawn, drawnAt] = [shown, now];
  }
  painter.frame(now);
  requestAnimationFrame(frame);
}

draw();
listenOnPicture(canvas, app);
listenToKeys(app, canvas);
followOverlays(app);
followFrames(app);
addEventListener('beforeunload', (event) => {
  const { server, connection } = store.shown;
  // The server keeps changes while it runs; only where it has gone the page is all that is left of them.
  if (connection === 'lost' && server !== undefined && !server.isSaved) event.preventDefault();
});
void follow({
  onState: (server) => {
    const known = store.shown.server;
    // Answers and the stream may cross each other.
    if (known !== undefined && server.revision < known.revision) return;
    store.set({ server });
    painter.open(server.master.levels, texelsOf);
  },
  onConnection: (connection, refusal) => store.set({ connection, refusal }),
});
requestAnimationFrame(frame);
