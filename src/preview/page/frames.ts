import { post } from './api.js';
import type { App } from './app.js';

/** The playhead rests so long, in ms, before another frame of a video is asked for. */
const REST = 150;

/** Asks for the frame of a video master that the instant shows, whenever the playhead comes to rest. */
export function followFrames({ store, scenery }: App): void {
  let waiting: ReturnType<typeof setTimeout> | undefined;
  let asked: number | undefined;
  store.watch(() => {
    const { server, time, playing, connection } = store.shown;
    const moment = server?.master.moment;
    const { scene } = scenery;
    if (moment === undefined || scene === undefined || playing || connection !== 'on') return;
    if (Math.abs(moment - time) < 0.5 / scene.fps || asked === time) return;
    clearTimeout(waiting);
    waiting = setTimeout(() => {
      asked = time;
      void post('moment', { seconds: time })
        .catch(() => {})
        .finally(() => {
          asked = undefined;
        });
    }, REST);
  });
}
