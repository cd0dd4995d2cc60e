import { html, nothing, type TemplateResult } from 'lit';
import type { App } from './app.js';
import { compared } from './compare.js';
import { textEditor } from './text.js';
import { clock } from './timeline.js';

/** The dialog that is open, if any. Native dialogs keep the focus in and close with Esc. */
export function dialogs(app: App): TemplateResult {
  const { store } = app;
  const { dialog } = store.shown;
  const close = () => store.set({ dialog: undefined });
  const content = { save, render, keys, text: textEditor, mark, conflict };
  return html`<dialog id="dialog" class=${dialog ?? ''} aria-labelledby="dialog-title" @close=${close} @cancel=${close}>
    ${dialog === undefined ? nothing : content[dialog](app, close)}
  </dialog>`;
}

export type DialogPart = (app: App, close: () => void) => TemplateResult;

const formOf = (event: Event): FormData => {
  event.preventDefault();
  return new FormData(event.target as HTMLFormElement);
};

const save: DialogPart = ({ store, actions }, close) => {
  const { server } = store.shown;
  return html`<form @submit=${(event: Event) => {
    const name = String(formOf(event).get('name'));
    close();
    void actions.save(name);
  }}>
    <h2 id="dialog-title">Save the scene</h2>
    <p class="faint">Into ${server?.folder}, where the master lies. Nothing that is there is replaced.</p>
    <label class="field"><span>Name</span><input name="name" required maxlength="100" .value=${server?.name ?? ''} autofocus /></label>
    <div class="row end"><button type="button" class="quiet" @click=${close}>Not now</button><button class="strong">Save</button></div>
  </form>`;
};

const mark: DialogPart = ({ store, actions }, close) => {
  const { placed, server } = store.shown;
  const names = (server?.marks ?? []).map(({ name }) => name);
  return html`<form @submit=${(event: Event) => {
    const name = String(formOf(event).get('name')).trim();
    close();
    if (placed !== undefined && name !== '') void actions.setMark(name, placed);
  }}>
    <h2 id="dialog-title">Name the mark</h2>
    <p class="faint">At yaw ${placed?.yaw.toFixed(1)}°, pitch ${placed?.pitch.toFixed(1)}°.</p>
    <label class="field"><span>Name</span><input name="name" required maxlength="40" pattern="[\\p{L}\\p{N}][\\p{L}\\p{N} _\\-]*" title="letters, digits, spaces, hyphens: windmill, north shore" placeholder="windmill" autofocus autocomplete="off" /></label>
    ${names.length === 0 ? nothing : html`<p class="faint">There are ${names.join(', ')} already; the same name moves it.</p>`}
    <div class="row end"><button type="button" class="quiet" @click=${close}>Not now</button><button class="strong">Place it</button></div>
  </form>`;
};

const render: DialogPart = ({ store, scenery, actions }, close) => {
  const { time } = store.shown;
  const own = scenery.shapes.filter(({ problem }) => problem === undefined);
  return html`<form @submit=${(event: Event) => {
    const form = formOf(event);
    const order = {
      kind: form.get('kind'),
      shape: form.get('shape'),
      quality: form.get('quality'),
      at: time,
    };
    close();
    void actions.ask('render', order, 'Rendering.');
  }}>
    <h2 id="dialog-title">Render</h2>
    <fieldset><legend>What</legend>
      <label class="choice"><input type="radio" name="kind" value="still" checked /> <span>This frame, at ${clock(time)}, as a picture</span></label>
      <label class="choice"><input type="radio" name="kind" value="clip" /> <span>The whole clip, ${clock(scenery.scene?.duration ?? 0)}</span></label>
    </fieldset>
    <label class="field"><span>Shape</span><select name="shape">${own.map(({ name, width, height }) => html`<option value=${name} ?selected=${name === scenery.shape?.name}>${name}, ${width} × ${height}</option>`)}</select></label>
    <label class="field"><span>Quality</span><select name="quality">
      <option value="draft">draft, quick</option><option value="final" selected>final</option><option value="best">best, many times slower</option></select></label>
    <p class="faint">It goes beside the scene under a name of its own. Fast spins and flashes make some viewers unwell; and where people or homes can be recognised, ask before you publish.</p>
    <div class="row end"><button type="button" class="quiet" @click=${close}>Not now</button><button class="strong">Render</button></div>
  </form>`;
};

const KEYS: readonly (readonly [string, string])[] = [
  ['Space', 'play, pause'],
  [', and .', 'one frame back, on'],
  ['Page up, Page down', 'keyframe before, next keyframe'],
  ['Home, End', 'start, end'],
  ['Arrow keys on the picture', 'look around; with Shift in small steps'],
  ['+ and −', 'closer, wider'],
  ['Q and E', 'roll'],
  ['L, or double click', 'level the view'],
  ['Esc', 'back to the scene'],
  ['K', 'set or update the keyframe here'],
  ['Arrow keys on a keyframe', 'move it by a frame; with Shift by ten'],
  ['Delete', 'remove the keyframe here'],
  ['Ctrl+C, Ctrl+V', 'copy the keyframe here, paste it at the playhead'],
  ['M', 'place a mark'],
  ['Ctrl+Z, Ctrl+Shift+Z', 'undo, redo'],
  ['Ctrl+S', 'save'],
  ['?', 'this list'],
];

const keys: DialogPart = (_, close) => html`<h2 id="dialog-title">Keys</h2>
  <dl class="keys">${KEYS.map(([name, what]) => html`<dt><kbd>${name}</kbd></dt><dd>${what}</dd>`)}</dl>
  <p class="faint">With the mouse: drag to look, turn the wheel to zoom, drag a keyframe along its string to move it, with Alt to copy it.</p>
  <div class="row end"><button class="strong" @click=${close} autofocus>Close</button></div>`;

const conflict: DialogPart = ({ store, actions }, close) => {
  const { server } = store.shown;
  const settle = (choice: 'mine' | 'disk') => {
    close();
    void actions.ask(
      'settle',
      { choice },
      choice === 'mine' ? 'Kept the version of the page.' : 'Took the version on disk.',
    );
  };
  return html`<h2 id="dialog-title">Two versions of ${server?.name}</h2>
    <p class="faint">Whichever goes on, the other is kept in a file of its own beside it.</p>
    ${compared(server?.text ?? '', server?.conflict ?? '')}
    <div class="row end"><button class="quiet" @click=${close}>Decide later</button>
      <button class="quiet" id="take-disk" @click=${() => settle('disk')}>Go on with the one on disk</button>
      <button class="strong" id="keep-mine" @click=${() => settle('mine')}>Go on with mine</button></div>`;
};
