export interface BalloonPlan {
  readonly longitude: number;
  readonly latitude: number;
  /** Metres from the camera, and of the envelope's radius. */
  readonly distance: number;
  readonly radius: number;
  readonly colours: readonly number[];
  readonly pattern: 'stripes' | 'bands' | 'spiral' | 'checks';
}

export const BALLOONS: readonly BalloonPlan[] = [
  {
    longitude: -64,
    latitude: 17,
    distance: 96,
    radius: 10.5,
    colours: [0xc93a2c, 0xf4e6cc, 0xe38b2f],
    pattern: 'spiral',
  },
  {
    longitude: 4,
    latitude: 24,
    distance: 112,
    radius: 10.5,
    colours: [0x1f6f8b, 0xeebd45, 0xf2efe4],
    pattern: 'stripes',
  },
  {
    longitude: 76,
    latitude: 14,
    distance: 128,
    radius: 10,
    colours: [0xeeb23a, 0xbf3830],
    pattern: 'checks',
  },
  {
    longitude: 112,
    latitude: 36,
    distance: 88,
    radius: 9.5,
    colours: [0x744083, 0xe58a9c, 0xf6ead6],
    pattern: 'bands',
  },
  {
    longitude: 148,
    latitude: 11,
    distance: 165,
    radius: 10,
    colours: [0x2e8068, 0xf2eddb],
    pattern: 'stripes',
  },
  {
    longitude: -164,
    latitude: 30,
    distance: 92,
    radius: 10,
    colours: [0xdd5530, 0xeea126, 0x2c3760],
    pattern: 'bands',
  },
  {
    longitude: -117,
    latitude: 21,
    distance: 150,
    radius: 10,
    colours: [0x38589c, 0xe9e2d2, 0xc94c5a],
    pattern: 'stripes',
  },
  {
    longitude: -30,
    latitude: 73,
    distance: 84,
    radius: 10.5,
    colours: [0xecb035, 0xcf4a35, 0x2b6777, 0xf5eedd],
    pattern: 'spiral',
  },
  {
    longitude: 49,
    latitude: -6,
    distance: 300,
    radius: 10,
    colours: [0xc94c5a, 0xf5eedd],
    pattern: 'stripes',
  },
  {
    longitude: 21,
    latitude: 9,
    distance: 520,
    radius: 10,
    colours: [0xeea126, 0x2c3760],
    pattern: 'stripes',
  },
  {
    longitude: -92,
    latitude: 11,
    distance: 420,
    radius: 10,
    colours: [0xf0ece0, 0xbf3830],
    pattern: 'spiral',
  },
  {
    longitude: -48,
    latitude: 9.5,
    distance: 610,
    radius: 10,
    colours: [0x744083, 0xeebd45],
    pattern: 'stripes',
  },
  {
    longitude: 168,
    latitude: 12,
    distance: 480,
    radius: 10,
    colours: [0xc93a2c, 0xeebd45],
    pattern: 'stripes',
  },
];
