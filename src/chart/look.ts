import { COMFORT } from '../comfort/limits.js';
import type { Unit } from './scale.js';
import type { ChartSample } from './types.js';

/** Dawn over the lake: warm paper, slate ink, and a colour for each channel that print keeps apart. */
export const PAPER = '#fbf8f3';
export const INK = '#22313d';
export const PALE = '#5d6b75';
export const WARNING = '#b3361e';

/** Pixels. */
export const LAYOUT = {
  width: 1280,
  left: 76,
  right: 150,
  laneHeight: 100,
  laneGap: 28,
  bandHeight: 24,
} as const;

/** Where the lanes begin, below the title. */
export const HEADER = 100;

export interface Lane {
  readonly title: string;
  /** Said under the title. */
  readonly about: readonly string[];
  readonly colour: string;
  readonly unit: Unit;
  /** Behind the scale's numbers. */
  readonly suffix: string;
  /** The smallest range its scale spans. */
  readonly least: number;
  /** Also drawn when all its values are 0. */
  readonly always: boolean;
  /** Filled down to the scale's floor, as amounts are. */
  readonly filled: boolean;
  /** Where the scale of an amount begins. */
  readonly floor?: number;
  /** Above it, `check` warns. */
  readonly limit?: number;
  readonly of: (sample: ChartSample) => number;
}

const angle = { unit: 'angle', suffix: '°', filled: false } as const;

export const LANES: readonly Lane[] = [
  {
    ...angle,
    title: 'yaw',
    about: ['to the right'],
    colour: '#1f6f8b',
    least: 20,
    always: true,
    of: ({ yaw }) => yaw,
  },
  {
    ...angle,
    title: 'pitch',
    about: ['up from the', 'horizon'],
    colour: '#a8572a',
    least: 20,
    always: true,
    of: ({ pitch }) => pitch,
  },
  {
    ...angle,
    title: 'roll',
    about: ['clockwise'],
    colour: '#6d5a9c',
    least: 20,
    always: false,
    of: ({ roll }) => roll,
  },
  {
    ...angle,
    title: 'field of view',
    about: ['across the', 'shorter side'],
    colour: '#3c7a4b',
    least: 20,
    always: true,
    of: ({ fov }) => fov,
  },
  {
    title: 'turning',
    about: ['degrees per', 'second'],
    colour: '#4a5560',
    unit: 'number',
    suffix: '',
    least: 30,
    floor: 0,
    always: true,
    filled: true,
    limit: COMFORT.turning,
    of: ({ turning }) => turning,
  },
  {
    title: 'zooming',
    about: ['doublings per', 'second'],
    colour: '#8a6d1d',
    unit: 'number',
    suffix: '',
    least: 0.5,
    floor: 0,
    always: false,
    filled: true,
    limit: COMFORT.zooming,
    of: ({ zooming }) => zooming,
  },
];
