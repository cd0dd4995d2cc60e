/** From rest to rest. */
export const GENTLE = 'ease-in-out';

/** From rest to rest, the most of the way at one speed. */
export const STEADY = 'cubic-bezier(0.2, 0, 0.8, 1)';

/** From rest to rest, more slowly at the end: for what arrives somewhere. */
export const ARRIVING = 'cubic-bezier(0.5, 0, 0.3, 1)';

/** The same backwards: for what sets out. */
export const LEAVING = 'cubic-bezier(0.7, 0, 0.5, 1)';

/** Already on the move at the start, as a clip may begin; then to rest. */
export const RUNNING = 'cubic-bezier(0.3, 0.5, 0.5, 1)';

export const EVEN = 'linear';
