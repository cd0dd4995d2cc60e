import { html, nothing, type TemplateResult } from 'lit';
import type { Mark } from '../../scene/types.js';
import type { Actions } from './actions.js';
import type { App } from './app.js';
import { shown } from './field.js';
import { icons } from './icons.js';
import type { PlacedKeyframe } from './scenery.js';

const EASES = ['linear', 'ease', 'ease-in', 'ease-out', 'ease-in-out', 'hold'];
const CHANNELS = ['yaw', 'pitch', 'heading', 'look', 'place', 'roll', 'fov', 'projection'];
const TURNS = ['as-written', 'shortest'];
const PATHS = ['eased', 'smooth'];

/** The keyframe at the playhead, or the offer of one. */
export function keyframe({ store, scenery, actions }: App): TemplateResult {
  const { time, copied, connection } = store.shown;
  const here = scenery.keyframeAt(time);
  const off = connection !== 'on' || scenery.scene === undefined;
  return html`<section class="card" aria-labelledby="keyframe-title">
    <div class="card-head"><h2 id="keyframe-title">${here === undefined ? 'No keyframe here' : 'Keyframe'}</h2>
      ${here === undefined ? nothing : html`<span class="chip">${here.path}</span>`}</div>
    ${here === undefined ? nothing : keyframeFields(here, { actions, off, marks: store.shown.server?.marks ?? [] })}
    <div class="row">
      <button class="strong" id="set-keyframe" ?disabled=${off} @click=${() => actions.setKeyframe()} title="K">${icons.bead} ${here === undefined ? 'Set a keyframe' : 'Update'}</button>
      ${
        here === undefined
          ? html`<button class="quiet" ?disabled=${off || copied === undefined} @click=${() => actions.paste()} title="Ctrl+V">Paste</button>`
          : html`<button class="quiet" ?disabled=${off} @click=${() => actions.copyKeyframe(here.path)} title="Ctrl+C">${icons.copy} Copy</button>
          <button class="quiet" id="remove-keyframe" ?disabled=${off} @click=${() => actions.removeKeyframe(here.path)} title="Delete">${icons.bin} Remove</button>`
      }
    </div>
  </section>`;
}

/** A choice of words; `onPick` gets the one picked. */
function pick(
  { id, title, now, words }: { id: string; title: string; now: string; words: readonly string[] },
  off: boolean,
  onPick: (word: string) => unknown,
): TemplateResult {
  return html`<label class="pick"><span>${title}</span>
    <select id=${id} ?disabled=${off} @change=${(event: Event) => onPick((event.target as HTMLSelectElement).value)}>
      ${[...new Set([...words, now])].map((word) => html`<option value=${word} ?selected=${word === now}>${word}</option>`)}
    </select></label>`;
}

const FREELY = 'by its angles';

interface Circumstances {
  readonly actions: Actions;
  readonly off: boolean;
  readonly marks: readonly Mark[];
}

function keyframeFields(here: PlacedKeyframe, circumstances: Circumstances): TemplateResult {
  const { actions, off, marks } = circumstances;
  const { path, written } = here;
  const wordOf = (field: string, usual: string) =>
    typeof written[field] === 'string' ? written[field] : usual;
  const set = (field: string) => (word: string) => actions.setField(path, field, word);
  const look = wordOf('look', FREELY);
  return html`<div class="fields">
    <label class="number"><span>Time</span><span class="with-unit"><input id="keyframe-time" type="number" min="0" step="0.1" ?disabled=${off} .value=${shown(String(Number(here.time.toFixed(3))))}
      @change=${(event: Event) => actions.moveKeyframe(path, Number((event.target as HTMLInputElement).value))} /><i>s</i></span></label>
    ${pick({ id: 'keyframe-ease', title: 'Leaves by', now: wordOf('ease', 'ease-in-out'), words: EASES }, off, set('ease'))}
    ${pick({ id: 'keyframe-turn', title: 'Turns', now: here.turn, words: TURNS }, off, set('turn'))}
    ${pick({ id: 'keyframe-path', title: 'Path', now: here.smooth ? 'smooth' : 'eased', words: PATHS }, off, set('path'))}
    ${
      marks.length === 0 && look === FREELY
        ? nothing
        : html`<div class="looks">${pick({ id: 'keyframe-look', title: 'Looks', now: look, words: [FREELY, ...marks.map(({ name }) => name)] }, off, (word) => actions.lookAt(path, word === FREELY ? undefined : word))}</div>`
    }
    ${says(here, circumstances)}
  </div>`;
}

/** The channels that the keyframe sets; each can be left out, so that it goes on its way past it. */
function says({ path, written }: PlacedKeyframe, { actions, off }: Circumstances): TemplateResult {
  const set = CHANNELS.filter((name) => name in written);
  const leaveOut = (name: string) => html`<button class="chip-button small" ?disabled=${off}
    aria-label=${`Leave out ${name}`} title=${`Leave ${name} out: it then goes on its way past this keyframe`}
    @click=${() => actions.setField(path, name, undefined)}>${name} ${icons.close}</button>`;
  return html`<div class="sets"><span id="sets-label">Says</span>
    <span class="chips" role="group" aria-labelledby="sets-label">${set.map(leaveOut)}
      ${set.length === 0 ? 'nothing but its time' : nothing}</span></div>`;
}
