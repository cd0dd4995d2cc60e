/** A frame that jumps this many times as far as both its neighbours is a cut, not a movement. */
const JUMP = 8;

/** Speeds from each frame to the next, those of cuts replaced by the faster neighbour's. */
export function withoutCuts(speeds: readonly number[]): number[] {
  return speeds.map((speed, index) => {
    const around = Math.max(speeds[index - 1] ?? 0, speeds[index + 1] ?? 0);
    return speeds.length > 2 && speed > JUMP * around ? around : speed;
  });
}
