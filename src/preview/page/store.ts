import type { FreeView } from '../../browser/look.js';
import type { OverlayState, PageState } from '../protocol.js';

export type Connection = 'starting' | 'on' | 'lost' | 'refused';
export type Dialog = 'save' | 'render' | 'keys' | 'text' | 'mark' | 'conflict';

/** What the page shows, all of it. */
export interface Shown {
  readonly server: PageState | undefined;
  readonly connection: Connection;
  /** Why the server refuses the page. */
  readonly refusal: string;
  /** Seconds of the clip. */
  readonly time: number;
  readonly playing: boolean;
  readonly looping: boolean;
  /** Where the user looks instead of where the scene does. */
  readonly free: FreeView | undefined;
  readonly shape: string;
  readonly showSafe: boolean;
  readonly showFrames: boolean;
  readonly showThirds: boolean;
  readonly showMarks: boolean;
  /** The next click on the picture places a mark. */
  readonly placing: boolean;
  /** Where that was, until it has a name. */
  readonly placed: { readonly yaw: number; readonly pitch: number } | undefined;
  readonly dialog: Dialog | undefined;
  /** Fields of a copied keyframe, without its time. */
  readonly copied: Readonly<Record<string, unknown>> | undefined;
  /** The last thing that went wrong. */
  readonly trouble: string;
  /** What was done, for screen readers. */
  readonly said: string;
  /** What keeps the browser from drawing. */
  readonly blind: string;
  /** What lies over the picture. */
  readonly overlays: readonly OverlayState[];
  /** The picture has all the detail that it needs. */
  readonly sharp: boolean;
  readonly theme: 'auto' | 'light' | 'dark';
  /** The work whose end the user has seen. */
  readonly workSeen: number;
}

type Watcher = () => void;

/** The one place where the page's state is; everything that shows something watches it. */
export class Store {
  #shown: Shown = {
    server: undefined,
    connection: 'starting',
    refusal: '',
    time: 0,
    playing: false,
    looping: true,
    free: undefined,
    shape: '',
    showSafe: false,
    showFrames: false,
    showThirds: false,
    showMarks: true,
    placing: false,
    placed: undefined,
    dialog: undefined,
    copied: undefined,
    trouble: '',
    said: '',
    blind: '',
    overlays: [],
    sharp: false,
    theme: 'auto',
    workSeen: 0,
  };
  readonly #watchers = new Set<Watcher>();

  get shown(): Shown {
    return this.#shown;
  }

  set(change: Partial<Shown>): void {
    const keys = Object.keys(change) as (keyof Shown)[];
    if (keys.every((name) => this.#shown[name] === change[name])) return;
    this.#shown = { ...this.#shown, ...change };
    for (const watcher of this.#watchers) watcher();
  }

  watch(watcher: Watcher): void {
    this.#watchers.add(watcher);
  }
}
