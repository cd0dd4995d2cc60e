/** Guards the floor below against rounding: n / fps * fps may fall just short of n. */
const NEARLY = 1e-6;

/** How many frames a clip of `duration` seconds has. */
export const frameCount = (duration: number, fps: number): number => Math.round(duration * fps);

/** The instant of frame `n`, in seconds. */
export const frameTime = (n: number, fps: number): number => n / fps;

/** The frame that is shown at `seconds`: each stays until the next one's instant. */
export const frameAt = (seconds: number, fps: number): number =>
  Math.max(0, Math.floor(seconds * fps + NEARLY));
