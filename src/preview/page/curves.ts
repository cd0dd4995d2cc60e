import { html, svg, type TemplateResult } from 'lit';
import { fovOf } from '../../browser/look.js';
import type { Timeline } from '../../timeline/sample.js';
import type { App } from './app.js';

const CHANNELS = [
  { name: 'yaw', title: 'Yaw' },
  { name: 'pitch', title: 'Pitch' },
  { name: 'roll', title: 'Roll' },
  { name: 'fov', title: 'Field' },
] as const;

type Channel = (typeof CHANNELS)[number]['name'];

/** Points along a curve; as many as a wide screen has pixels to spare. */
const POINTS = 320;
const HEIGHT = 40;
const EDGE = 5;

interface Curve {
  readonly path: string;
  readonly low: number;
  readonly high: number;
}

/** A curve of each channel over the clip, and the keyframes that set it. */
export function curves({ scenery, store }: App, duration: number): TemplateResult {
  const { timeline, keyframes } = scenery;
  if (timeline === undefined) return html``;
  const now = store.shown.free ?? scenery.viewAt(store.shown.time);
  return html`<div class="curves" role="group" aria-label="Curves of the channels">${CHANNELS.map(
    ({ name, title }) => {
      const { path, low, high } = curveOf(scenery, timeline, name, duration);
      const value = name === 'fov' ? fovOf(now.fov).degrees : now[name];
      const set = keyframes.filter((keyframe) => keyframe[name] !== undefined);
      const range =
        low === high ? `${round(low)}° all through` : `from ${round(low)}° to ${round(high)}°`;
      return html`<div class=${`lane lane-${name}`}>
      <svg viewBox=${`0 0 1000 ${HEIGHT}`} preserveAspectRatio="none" role="img" aria-label=${`${title}: ${range}, now ${round(value)}°`}>
        <path d=${path} class="curve" />
        ${set.map(({ time: at }) => svg`<line class="stop" x1=${(1000 * at) / duration} x2=${(1000 * at) / duration} y1="0" y2=${HEIGHT} />`)}
      </svg>
      <span class="lane-name" aria-hidden="true">${title} <b>${round(value)}°</b></span>
    </div>`;
    },
  )}</div>`;
}

const round = (value: number): number => Math.round(value * 10) / 10 + 0;

const drawn = new WeakMap<Timeline, Map<string, Curve>>();

function curveOf(
  scenery: App['scenery'],
  timeline: Timeline,
  channel: Channel,
  duration: number,
): Curve {
  const curves = drawn.get(timeline) ?? new Map<string, Curve>();
  drawn.set(timeline, curves);
  const key = `${channel} ${duration}`;
  const curve = curves.get(key) ?? draw(scenery, timeline, channel, duration);
  curves.set(key, curve);
  return curve;
}

function draw(
  scenery: App['scenery'],
  timeline: Timeline,
  channel: Channel,
  duration: number,
): Curve {
  const values = Array.from({ length: POINTS + 1 }, (_, index) => {
    const at = scenery.ownTime((duration * index) / POINTS);
    return channel === 'fov' ? fovOf(timeline.at(at).fov).degrees : timeline.angles(at)[channel];
  });
  const [low, high] = [Math.min(...values), Math.max(...values)];
  const span = high - low;
  const y = (value: number) =>
    span < 1e-9 ? HEIGHT / 2 : HEIGHT - EDGE - ((HEIGHT - 2 * EDGE) * (value - low)) / span;
  const path = values
    .map(
      (value, i) =>
        `${i === 0 ? 'M' : 'L'}${((1000 * i) / POINTS).toFixed(1)} ${y(value).toFixed(2)}`,
    )
    .join('');
  return { path, low, high };
}
