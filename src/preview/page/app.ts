import type { Actions } from './actions.js';
import type { Motion } from './motion.js';
import type { Scenery } from './scenery.js';
import type { Store } from './store.js';

/** What every part of the page gets. */
export interface App {
  readonly store: Store;
  readonly scenery: Scenery;
  readonly actions: Actions;
  readonly motion: Motion;
}
