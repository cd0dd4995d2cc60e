import { html, nothing, svg, type TemplateResult } from 'lit';
import { placeInFrame } from '../../browser/sight.js';
import type { PageState, ShapeState } from '../protocol.js';
import type { App } from './app.js';
import { at as styled } from './at.js';
import { icons } from './icons.js';
import { overlays } from './overlays.js';

/** The picture with what is laid over it, and the choice of its shape. */
export function stage(app: App, canvas: HTMLCanvasElement): TemplateResult {
  const { store, scenery } = app;
  const { server, free, placing, blind, connection } = store.shown;
  const { shape } = scenery;
  return html`<section class="stage" aria-label="Picture">
    ${shapeBar(app)}
    <div class="mat" id="mat">
      ${server === undefined ? html`<p class="waiting">${connection === 'refused' ? '' : 'Opening …'}</p>` : nothing}
      ${blind === '' ? nothing : html`<p class="waiting" role="alert">${blind}</p>`}
      <div class=${`frame ${placing ? 'placing' : ''} ${free === undefined ? '' : 'loose'} ${shape?.background.kind === 'colour' && shape.background.colour[3] < 255 ? 'see-through' : ''}`} id="frame">
        ${canvas}
        ${overlays(app)} ${shape === undefined ? nothing : overlay(app, shape)}
      </div>
      ${
        server?.scene !== undefined &&
        server.master.levels === undefined &&
        server.master.problem === undefined
          ? html`<p class="waiting" role="status">Reading ${server.master.name} …</p>`
          : nothing
      }
      ${
        placing
          ? html`<p class="hint" role="status">Click on the picture where the mark belongs, or press Enter for its middle. Esc leaves it.</p>`
          : nothing
      }
    </div>
  </section>`;
}

function shapeBar({ store, scenery, actions }: App): TemplateResult {
  const { server, showSafe, showFrames, showThirds, showMarks } = store.shown;
  const current = scenery.shape;
  const own = scenery.shapes.filter(({ isOutput }) => isOutput);
  const others = scenery.shapes.filter(({ isOutput }) => !isOutput);
  const chip = (
    shape: ShapeState,
  ) => html`<button class="chip-button" aria-pressed=${String(shape === current)}
    @click=${() => store.set({ shape: shape.name })} ?disabled=${shape.problem !== undefined}>
    ${outline(shape)} ${shape.name}</button>`;
  const toggle = (
    name: 'showSafe' | 'showFrames' | 'showThirds' | 'showMarks',
    on: boolean,
    label: string,
  ) =>
    html`<button class="chip-button" aria-pressed=${String(on)} @click=${() => store.set({ [name]: !on })}>${label}</button>`;
  const other = others.find((shape) => shape === current);
  return html`<div class="shape-bar">
    <div class="chips" role="group" aria-label="Shape of the frame">
      ${own.map(chip)}
      ${
        others.length === 0
          ? nothing
          : html`<label class="chip-select"><span class="hidden">Another shape</span>
        <select id="other-shape" @change=${(event: Event) => store.set({ shape: (event.target as HTMLSelectElement).value || (own[0]?.name ?? '') })}>
          <option value="" ?selected=${other === undefined}>other shapes</option>
          ${others.map(({ name, width, height, problem }) => html`<option value=${name} ?selected=${name === current?.name} ?disabled=${problem !== undefined}>${name} ${width} × ${height}</option>`)}
        </select></label>`
      }
    </div>
    ${server === undefined || server.shots.length < 2 ? nothing : shots(server, actions)}
    <div class="chips" role="group" aria-label="Over the picture">
      ${toggle('showSafe', showSafe, 'safe area')}
      ${toggle('showFrames', showFrames, 'other frames')}
      ${toggle('showThirds', showThirds, 'thirds')}
      ${server !== undefined && server.marks.length > 0 ? toggle('showMarks', showMarks, 'marks') : nothing}
    </div>
  </div>`;
}

function shots({ shots, shot }: PageState, actions: App['actions']): TemplateResult {
  return html`<label class="chip-select"><span>shot</span>
    <select id="shot" @change=${(event: Event) => actions.showShot(Number((event.target as HTMLSelectElement).value))}>
      ${shots.map((name, index) => html`<option value=${index} ?selected=${index === shot}>${name}</option>`)}
    </select></label>`;
}

/** The shape, as small as a letter. */
function outline({ width, height }: ShapeState): TemplateResult {
  const scale = 13 / Math.max(width, height);
  const [w, h] = [width * scale, height * scale];
  return html`<svg class="outline" viewBox="0 0 16 16" aria-hidden="true" focusable="false">
    <rect x=${(16 - w) / 2} y=${(16 - h) / 2} width=${w} height=${h} rx="1.2" /></svg>`;
}

/** In shares of the frame's sides, so that it needs no size. */
function overlay({ store, scenery }: App, shape: ShapeState): TemplateResult {
  const { showSafe, showFrames, showThirds, showMarks, server } = store.shown;
  const { top, right, bottom, left } = shape.safe;
  const percent = (share: number) => `${100 * share}%`;
  const lines = [1 / 3, 2 / 3];
  return html`<svg class="over" aria-hidden="true" focusable="false">
    ${
      showThirds
        ? lines.map(
            (at) => svg`<line class="third" x1=${percent(at)} x2=${percent(at)} y1="0" y2="100%" />
      <line class="third" y1=${percent(at)} y2=${percent(at)} x1="0" x2="100%" />`,
          )
        : nothing
    }
    ${showFrames ? scenery.shapes.filter((other) => (other !== shape && other.isOutput) || isUsual(other, shape)).map((other) => frameWithin(other, shape)) : nothing}
    ${showSafe ? svg`<rect class="safe" x=${percent(left)} y=${percent(top)} width=${percent(1 - left - right)} height=${percent(1 - top - bottom)} rx="6" />` : nothing}
  </svg>
  ${showMarks && server !== undefined ? marks(server, scenery, shape) : nothing}`;
}

const USUAL = ['vertical', 'portrait', 'square', 'landscape'];
const isUsual = (other: ShapeState, shape: ShapeState) =>
  USUAL.includes(other.name) && other.name !== shape.name;

/** Another shape's frame: it shows as many degrees across its own shorter side. */
function frameWithin(other: ShapeState, shape: ShapeState) {
  const across = (s: ShapeState) =>
    [s.width / Math.min(s.width, s.height), s.height / Math.min(s.width, s.height)] as const;
  const [[w, h], [ow, oh]] = [across(shape), across(other)];
  if (ow > w + 1e-6 || oh > h + 1e-6) return nothing;
  const [width, height] = [ow / w, oh / h];
  return svg`<g><rect class="other-frame" x=${`${50 * (1 - width)}%`} y=${`${50 * (1 - height)}%`} width=${`${100 * width}%`} height=${`${100 * height}%`} />
    <text class="other-name" x=${`${50 * (1 - width)}%`} y=${`${50 * (1 - height)}%`} dx="6" dy="16">${other.name}</text></g>`;
}

function marks({ marks }: PageState, scenery: App['scenery'], shape: ShapeState): TemplateResult {
  const camera = scenery.camera(shape.width, shape.height);
  return html`${marks.map(({ name, ...mark }) => {
    const at = camera && placeInFrame(camera, mark);
    if (at === undefined) return nothing;
    const style = styled({ left: `${100 * at.x}%`, top: `${100 * at.y}%` });
    return html`<span class="mark" ${style}>${icons.mark}<span>${name}</span></span>`;
  })}`;
}
