import { describe, expect, it } from 'vitest';
import { angleBetween } from '../../src/camera/orientation.js';
import { frameAt, frameCount, frameTime } from '../../src/timeline/frames.js';
import { buildTimeline } from '../../src/timeline/sample.js';
import { fastestTurn } from '../../src/timeline/speed.js';
import { keyframes } from './keyframes.js';

const NTSC = 30000 / 1001;

describe('frames', () => {
  it('are as many as fit the duration, rounded', () => {
    expect(frameCount(8, 30)).toBe(240);
    expect(frameCount(0.51, 25)).toBe(13);
    expect(frameCount(10, NTSC)).toBe(300);
  });

  it('are found again at their own instants, at any rate', () => {
    for (const fps of [1, 23.7, 24, NTSC, 60, 240]) {
      for (let n = 0; n < 2000; n++) expect(frameAt(frameTime(n, fps), fps)).toBe(n);
    }
  });

  it('stay until the next one comes', () => {
    expect(frameAt(0.0333, 30)).toBe(0);
    expect(frameAt(0.9999, 30)).toBe(29);
    expect(frameAt(-1, 30)).toBe(0);
  });
});

describe('turning speed', () => {
  it('is the yaw per second on the level, however the angles run on', () => {
    const turn = fastestTurn(
      buildTimeline(keyframes({ at: 0, yaw: 0 }, { at: 8, yaw: 720 })),
      8,
      30,
    );
    expect(turn.degreesPerSecond).toBeCloseTo(90, 9);
    expect(turn.at).toBe(0);
  });

  it('says where it is highest', () => {
    const timeline = buildTimeline(
      keyframes({ at: 0, yaw: 0 }, { at: 4, yaw: 40 }, { at: 5, yaw: 100 }, { at: 8, yaw: 100 }),
    );
    const turn = fastestTurn(timeline, 8, 30);
    expect(turn.degreesPerSecond).toBeCloseTo(60, 9);
    expect(turn.at).toBe(4);
  });

  it('takes no cut for a turn', () => {
    const cut = buildTimeline(
      keyframes(
        { at: 0, yaw: 0, ease: { kind: 'hold' } },
        { at: 2, yaw: 180 },
        { at: 4, yaw: 200 },
      ),
    );
    const turn = fastestTurn(cut, 4, 30);
    expect(turn.degreesPerSecond).toBeCloseTo(10, 6);
  });

  it('is 0 when the camera rests', () => {
    const rest = buildTimeline(keyframes({ at: 0, yaw: 33, pitch: 20, roll: 4 }));
    expect(fastestTurn(rest, 4, 30)).toEqual({ degreesPerSecond: 0, at: 0 });
  });

  it('is exact for tiny and for large angles between orientations', () => {
    const about = (degrees: number) =>
      [0, Math.sin((degrees * Math.PI) / 360), 0, Math.cos((degrees * Math.PI) / 360)] as const;
    for (const angle of [1e-7, 0.01, 1, 90, 179, 180]) {
      const found = (angleBetween(about(0), about(angle)) * 180) / Math.PI;
      expect(Math.abs(found - angle)).toBeLessThan(1e-12 + angle * 1e-9);
    }
    expect((angleBetween(about(0), about(300)) * 180) / Math.PI).toBeCloseTo(60, 9);
  });
});
