import { html, nothing, svg, type TemplateResult } from 'lit';
import { repeat } from 'lit/directives/repeat.js';
import type { App } from './app.js';
import { at as styled } from './at.js';
import { curves } from './curves.js';
import { icons } from './icons.js';
import type { PlacedKeyframe } from './scenery.js';

const percent = (share: number): string => `${(100 * share).toFixed(4)}%`;

/** `0:02.40` */
export function clock(seconds: number): string {
  const hundredths = Math.round(seconds * 100);
  const [minutes, rest] = [Math.floor(hundredths / 6000), hundredths % 6000];
  return `${minutes}:${(rest / 100).toFixed(2).padStart(5, '0')}`;
}

/** Playing, the keyframes on their string, the curves of the channels. */
export function timeline(app: App): TemplateResult {
  const { store, scenery, actions, motion } = app;
  const { playing, looping, time, free } = store.shown;
  const keyLabel =
    scenery.keyframeAt(time) === undefined ? 'Set a keyframe' : 'Update the keyframe';
  const { scene } = scenery;
  const off = scene === undefined;
  return html`<section class="time" aria-label="Time">
    <div class="transport">
      <button class="plain" ?disabled=${off} aria-label="To the keyframe before" title="Keyframe before (Page up)" @click=${() => actions.toKeyframe(-1)}>${icons.before}</button>
      <button class="round" id="play" ?disabled=${off} aria-label=${playing ? 'Pause' : 'Play'} title="Space" @click=${() => motion.play(!playing)}>${playing ? icons.pause : icons.play}</button>
      <button class="plain" ?disabled=${off} aria-label="To the next keyframe" title="Next keyframe (Page down)" @click=${() => actions.toKeyframe(1)}>${icons.after}</button>
      <button class="plain" aria-pressed=${String(looping)} ?disabled=${off} aria-label="Loop" title="Loop" @click=${() => store.set({ looping: !looping })}>${icons.loop}</button>
      <output class="clock" id="clock" .textContent=${clock(time)}></output>
      <span class="faint of">of ${clock(scene?.duration ?? 0)}</span>
      ${
        playing && store.shown.server?.master.moment !== undefined
          ? html`<span class="chip">the video stands still while this plays</span>`
          : nothing
      }
      <span class="spacer"></span>
      ${
        free === undefined
          ? nothing
          : html`<span class="chip cool" role="status">looking around</span>
            <button class="quiet" id="back-to-scene" title="Esc" aria-label="Back to the scene" @click=${() => store.set({ free: undefined })}>${icons.close} <span>Back to the scene</span></button>`
      }
      <button class=${free === undefined ? 'quiet' : 'strong'} id="key-button" ?disabled=${off || store.shown.connection !== 'on'} title="K"
        aria-label=${keyLabel} @click=${() => actions.setKeyframe()}>${icons.bead} <span>${keyLabel}</span></button>
    </div>
    ${scene === undefined ? nothing : track(app, scene)}
  </section>`;
}

function track(app: App, { duration, fps }: { duration: number; fps: number }): TemplateResult {
  const { store, scenery, actions } = app;
  const { time } = store.shown;
  return html`<div class="track" id="track">
    <div class="ruler" id="ruler">
      <svg aria-hidden="true" focusable="false">${ticks(duration).map(
        ({
          at,
          label,
        }) => svg`<line x1=${percent(at / duration)} x2=${percent(at / duration)} y1=${label ? 10 : 14} y2="20" />
        ${label ? svg`<text x=${percent(at / duration)} y="9" text-anchor=${at === 0 ? 'start' : at > 0.97 * duration ? 'end' : 'middle'}>${label}</text>` : nothing}`,
      )}</svg>
      <input class="scrubber" id="scrubber" type="range" min="0" max=${Math.max(0, Math.round(duration * fps) - 1)} step="1"
        aria-label="Time" aria-valuetext=${`${clock(time)}, frame ${Math.round(time * fps)}`} .value=${String(Math.round(time * fps))}
        @input=${(event: Event) => actions.seek(Number((event.target as HTMLInputElement).value) / fps)} />
    </div>
    <div class="string" id="string" role="group" aria-label="Keyframes">
      ${repeat(
        scenery.keyframes,
        ({ path }) => path,
        (keyframe, index) => bead(app, keyframe, index, duration),
      )}
    </div>
    ${curves(app, duration)}
    <div class="playhead" id="playhead" ${styled({ left: percent(time / duration) })}></div>
  </div>`;
}

function bead(app: App, keyframe: PlacedKeyframe, index: number, duration: number): TemplateResult {
  const { actions, scenery, store } = app;
  const { path, time: at } = keyframe;
  const isHere = scenery.keyframeAt(store.shown.time)?.path === path;
  const says = ['yaw', 'pitch', 'roll', 'fov'].flatMap((name) => {
    const value = keyframe[name as 'yaw'];
    return value === undefined ? [] : [`${name} ${value}`];
  });
  return html`<button class=${`bead ${keyframe.projection === undefined ? '' : 'full'}`} ${styled({ left: percent(at / duration) })}
    data-path=${path} aria-current=${isHere ? 'true' : 'false'}
    aria-label=${`Keyframe ${index + 1} at ${clock(at)}: ${says.join(', ') || 'no angles'}. Arrow keys move it, Delete removes it.`}
    title=${`${path}, ${clock(at)}`}
    @click=${() => actions.seek(at)} @pointerdown=${(event: PointerEvent) => dragBead(event, app, keyframe)}></button>`;
}

/** Moves a keyframe along the string; with Alt it is copied. */
function dragBead(
  event: PointerEvent,
  { actions, scenery }: App,
  { path, time: at }: PlacedKeyframe,
): void {
  if (event.button !== 0) return;
  const bead = event.currentTarget as HTMLElement;
  const { width, left } = bead.parentElement!.getBoundingClientRect();
  const duration = scenery.scene?.duration ?? 1;
  let to = at;
  bead.setPointerCapture(event.pointerId);
  const move = (moved: PointerEvent) => {
    if (Math.abs(moved.clientX - event.clientX) < 4 && to === at) return;
    to = actions.snapped((duration * (moved.clientX - left)) / width);
    bead.style.left = percent(to / duration);
  };
  const end = (last: PointerEvent) => {
    bead.removeEventListener('pointermove', move);
    bead.removeEventListener('pointerup', end);
    bead.removeEventListener('pointercancel', end);
    const back = () => {
      bead.style.left = percent(at / duration);
    };
    if (to === at || last.type === 'pointercancel') return back();
    if (!last.altKey)
      return void actions.moveKeyframe(path, to).then((done) => done === false && back());
    back();
    actions.copyKeyframe(path);
    void actions.paste(to);
  };
  bead.addEventListener('pointermove', move);
  bead.addEventListener('pointerup', end);
  bead.addEventListener('pointercancel', end);
}

/** Marks of the ruler: about ten with their time, and some between. */
function ticks(duration: number): { at: number; label: string }[] {
  const steps = [0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 30, 60, 120, 300, 600];
  const step = steps.find((length) => duration / length <= 11) ?? 600;
  const fine = step / 5;
  return Array.from({ length: Math.floor(duration / fine + 1e-6) + 1 }, (_, index) => {
    const at = index * fine;
    return { at, label: index % 5 === 0 ? `${Number(at.toFixed(2))} s` : '' };
  });
}
