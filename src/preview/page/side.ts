import { html, nothing, type TemplateResult } from 'lit';
import { live } from 'lit/directives/live.js';
import { type FreeView, fovOf, projectionOf, widest, zoomedTo } from '../../browser/look.js';
import { angleBetween } from '../../camera/orientation.js';
import { degrees } from '../../math.js';
import { projections } from '../../projection/index.js';
import type { App } from './app.js';
import { shown } from './field.js';
import { sign } from './graticule.js';
import { icons } from './icons.js';
import { keyframe } from './keyframe.js';

const signs = new Map<string, TemplateResult>();
const signOf = (name: string): TemplateResult => {
  const drawn = signs.get(name) ?? sign(name);
  signs.set(name, drawn);
  return drawn;
};

/** Where the camera looks, the keyframe here, marks, facts. */
export function side(app: App): TemplateResult {
  return html`<aside class="side" aria-label="View and keyframe">
    ${look(app)} ${keyframe(app)} ${marks(app)} ${facts(app)}
  </aside>`;
}

const one = (value: number): number => Number(value.toFixed(1));

/** With a place to break in long names. */
const shortTitle = (title: string): string =>
  title.replace(' fisheye', '').replace(/^(Equi|Stereo)(?=rect|graph)/u, '$1\u00ad');

function look({ scenery, motion }: App): TemplateResult {
  const { view, shape } = scenery;
  const choice = view && projectionOf(view.projection);
  const fov = view && fovOf(view.fov);
  const most = fov && choice && shape ? widest(choice.name, fov, shape) : 360;
  const angle = (name: 'yaw' | 'pitch' | 'roll', title: string) => html`<label class="number">
    <span>${title}</span>
    <span class="with-unit"><input id=${`look-${name}`} type="number" step="1" ?disabled=${view === undefined} .value=${shown(String(one(view?.[name] ?? 0)))}
      @change=${(event: Event) => setAngle(motion, name, Number((event.target as HTMLInputElement).value))} /><i>°</i></span></label>`;
  return html`<section class="card" aria-labelledby="look-title">
    <h2 id="look-title">View</h2>
    <div class="signs" role="radiogroup" aria-label="Projection">
      ${projections.map(
        ({
          name,
          title,
          goodFor,
        }) => html`<label class="sign-choice" title=${`${title}: ${goodFor}`}>
        <input type="radio" name="projection" value=${name} .checked=${live(name === choice?.name)} ?disabled=${view === undefined}
          @change=${() => motion.choose({ name, params: {} })} />
        ${signOf(name)}<span>${shortTitle(title)}</span></label>`,
      )}
    </div>
    <label class="slider"><span>Field of view</span>
      <input id="fov-slider" type="range" min="5" max=${most} step="1" .value=${live(String(Math.round(fov?.degrees ?? 90)))} ?disabled=${view === undefined}
        @input=${(event: Event) => shape && motion.look((v) => zoomedTo(v, Number((event.target as HTMLInputElement).value), shape))} /></label>
    <div class="numbers">
      <label class="number"><span>Field</span><span class="with-unit"><input id="look-fov" type="number" min="2" max=${most} step="1" ?disabled=${view === undefined} .value=${shown(String(one(fov?.degrees ?? 0)))}
        @change=${(event: Event) => shape && motion.look((v) => zoomedTo(v, Number((event.target as HTMLInputElement).value), shape))} /><i>°</i></span></label>
      ${angle('yaw', 'Yaw')} ${angle('pitch', 'Pitch')} ${angle('roll', 'Roll')}
    </div>
    <button class="quiet wide" @click=${() => motion.level()} ?disabled=${view === undefined} title="Double click on the picture, or L">${icons.level} Level</button>
  </section>`;
}

function setAngle(motion: App['motion'], name: 'yaw' | 'pitch' | 'roll', value: number): void {
  if (!Number.isFinite(value)) return;
  motion.look((view: FreeView) => ({ ...view, [name]: value }));
}

function marks({ store, actions, motion }: App): TemplateResult {
  const { server, connection, placing } = store.shown;
  const entries = server?.marks ?? [];
  const off = connection !== 'on' || server?.scene === undefined;
  return html`<section class="card" aria-labelledby="marks-title">
    <h2 id="marks-title">Marks</h2>
    ${
      entries.length === 0
        ? html`<p class="faint">Places with a name, to come back to.</p>`
        : html`<ul class="list">${entries.map(
            ({ name, ...mark }) => html`<li>
      <button class="link" @click=${() => motion.look((view) => ({ ...view, ...nearest(view, mark) }))}>${icons.mark} ${name}</button>
      <span class="faint">${one(mark.yaw)}°, ${one(mark.pitch)}°</span>
      <button class="plain small" ?disabled=${off} aria-label=${`Remove the mark ${name}`} @click=${() => actions.removeMark(name)}>${icons.close}</button></li>`,
          )}</ul>`
    }
    <button class="quiet wide" id="place-mark" ?disabled=${off} aria-pressed=${String(placing)} @click=${() => store.set({ placing: !placing })}>${icons.mark} Place a mark</button>
  </section>`;
}

/** A place's yaw, counted on from the view's own turns. */
function nearest(view: FreeView, { yaw, pitch }: { yaw: number; pitch: number }) {
  return { yaw: yaw + 360 * Math.round((view.yaw - yaw) / 360), pitch };
}

/** Degrees a second; common practice, no source: faster turns are hard to watch on a large screen. */
const FAST = 120;

function facts({ store, scenery }: App): TemplateResult {
  const { server, sharp } = store.shown;
  const { master, scene } = server ?? {};
  if (master === undefined || scene === undefined) return html``;
  const speed = speedHere(scenery, store.shown.time);
  const loading = master.read < 1 && master.width > 4096;
  return html`<section class="card" aria-labelledby="facts-title">
    <h2 id="facts-title">Scene</h2>
    <dl class="facts">
      <dt>Master</dt><dd>${master.name}<br /><span class="faint">${master.width} × ${master.height}${loading ? `, ${Math.round(100 * master.read)}% read` : sharp ? '' : ', sharpening …'}</span></dd>
      <dt>Length</dt><dd>${one(scene.duration)} s, ${Number(scene.fps.toFixed(3))} frames a second</dd>
      <dt>Turns here</dt><dd>${Math.round(speed)}° a second${speed > FAST ? html` <span class="chip warm">fast: hard on some eyes</span>` : nothing}</dd>
    </dl>
    <button class="quiet wide small-only" ?disabled=${store.shown.connection !== 'on'} @click=${() => store.set({ dialog: 'render' })}>Render …</button>
  </section>`;
}

function speedHere(scenery: App['scenery'], time: number): number {
  const { timeline, scene } = scenery;
  if (timeline === undefined || scene === undefined) return 0;
  const [a, b] = [time, time + 1 / scene.fps].map(
    (at) => timeline.at(scenery.ownTime(at)).orientation,
  );
  return degrees(angleBetween(a!, b!)) * scene.fps;
}
