import { describe, expect, it } from 'vitest';
import { resolveCamera } from '../../src/camera/resolve.js';
import type { BallLook } from '../../src/scene/types.js';
import { BALL_DEFAULTS, ballTrack } from '../../src/timeline/ball.js';
import { buildTimeline } from '../../src/timeline/sample.js';
import { keyframes } from './keyframes.js';

const ballLook: BallLook = { kind: 'glass', index: 1.5, tint: [255, 255, 255, 255] };

describe('the ball over time', () => {
  const list = keyframes(
    { at: 0, ballLook, ball: { yaw: 10, size: 20, distance: 4 } },
    { at: 2, ball: { yaw: 30 } },
    { at: 4, ball: { size: 60, distance: 2 }, ease: { kind: 'hold' } },
    { at: 6, ball: { size: 0 } },
  );

  it('goes on its way channel by channel, past keyframes that leave it out', () => {
    const ball = ballTrack(list)!;
    expect(ball(0)).toEqual({ look: ballLook, yaw: 10, pitch: 0, size: 20, distance: 4 });
    expect(ball(1)).toMatchObject({ yaw: 20, size: 30, distance: 3.5 });
    expect(ball(3)).toMatchObject({ yaw: 30, size: 50, distance: 2.5 });
    expect(ball(5)).toMatchObject({ size: 60, distance: 2 });
  });

  it('is in what the camera shows, and gone at the size 0', () => {
    const timeline = buildTimeline(list);
    // sin(30 degrees) = 1/2: at the distance 2 the centre is 4 radii away.
    expect(resolveCamera(timeline.at(4), 16, 9).ball?.distance).toBeCloseTo(4, 12);
    expect(resolveCamera(timeline.at(6), 16, 9).ball).toBeUndefined();
  });

  it('stays over the centre of the master where no keyframe places it', () => {
    expect(ballTrack(keyframes({ at: 0, ballLook }))!(3)).toMatchObject(BALL_DEFAULTS);
  });

  it('runs through its keyframes on a smooth path, as the camera does', () => {
    const even = keyframes(
      { at: 0, ballLook, ball: { yaw: 0 }, smooth: true },
      { at: 1, ball: { yaw: 10 }, smooth: true },
      { at: 2, ball: { yaw: 20 }, smooth: true },
    );
    const ball = ballTrack(even)!;
    // Hermite's cubic from rest to 10 degrees a second: 10 / 2 - 10 / 8.
    expect(ball(0.5).yaw).toBeCloseTo(3.75, 9);
    expect((ball(1.001).yaw - ball(0.999).yaw) / 0.002).toBeCloseTo(10, 1);
  });

  it('leads from the last keyframe to the first in a loop, its distance never by whole turns', () => {
    const loop = keyframes(
      { at: 0, ballLook, ball: { yaw: 350, distance: 1 } },
      { at: 2, ball: { yaw: 10, distance: 400 } },
    );
    const ball = ballTrack(loop, 4)!;
    expect(ball(3).distance).toBeCloseTo(200.5, 9);
    expect(ball(3.999).distance).toBeLessThan(2);
    expect(buildTimeline(loop, { period: 4 }).at(7).ball?.distance).toBeCloseTo(200.5, 9);
  });

  it('is not there unless the scene has one', () => {
    const none = keyframes({ at: 0, ball: { size: 20 } });
    expect(ballTrack(none)).toBeUndefined();
    expect(buildTimeline(none).at(0)).not.toHaveProperty('ball');
  });
});
