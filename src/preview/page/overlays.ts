import { html, nothing, type TemplateResult } from 'lit';
import { opacityAt } from '../../overlay/opacity.js';
import { overlaysOf } from './api.js';
import type { App } from './app.js';
import { at as styled } from './at.js';

/** Gets titles and marks anew when the scene or the shape asks for others. */
export function followOverlays({ store, scenery }: App): void {
  let key = '[]';
  store.watch(() => {
    const { scene, shape } = scenery;
    if (scene === undefined || shape === undefined) return;
    const wanted = scene.overlays.length === 0 ? '[]' : JSON.stringify([scene.overlays, shape]);
    if (wanted === key) return;
    key = wanted;
    if (wanted === '[]') store.set({ overlays: [] });
    else {
      void overlaysOf(shape.name).then(
        (overlays) => wanted === key && store.set({ overlays }),
        (error: unknown) =>
          wanted === key && store.set({ trouble: String((error as Error).message) }),
      );
    }
  });
}

/** Titles and marks as much as the instant shows of them. */
export function overlays({ store, scenery }: App): TemplateResult {
  const { time } = store.shown;
  const duration = scenery.scene?.duration ?? 0;
  const percent = (share: number) => `${100 * share}%`;
  return html`${store.shown.overlays.map((overlay) => {
    const opacity = opacityAt(overlay, time, duration);
    if (opacity === 0) return nothing;
    const { left, top, width, height, picture } = overlay;
    const place = {
      left: percent(left),
      top: percent(top),
      width: percent(width),
      height: percent(height),
    };
    return html`<img class="title-over" src=${picture} alt="" ${styled({ ...place, opacity: String(opacity) })} />`;
  })}`;
}
