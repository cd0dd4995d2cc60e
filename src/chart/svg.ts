import { FONT_FAMILY } from '../lettering/house.js';
import { type Attributes, element, escaped, pathOf, text } from './elements.js';
import { HEADER, INK, LANES, LAYOUT, type Lane, PALE, PAPER, WARNING } from './look.js';
import { type Scale, scaleFor, timeTicks } from './scale.js';
import type { Chart, ChartSample } from './types.js';

const { width: WIDTH, left: LEFT, right: RIGHT, laneHeight, laneGap, bandHeight } = LAYOUT;

/** Draws a clip's channels over time: lanes for the angles and speeds, keyframes, shots, warnings. */
export function chartSvg(chart: Chart): string {
  const across = (seconds: number) =>
    LEFT + ((WIDTH - LEFT - RIGHT) * seconds) / Math.max(chart.duration, 1e-9);
  const lanes = LANES.filter(({ always, of }) => always || chart.samples.some((s) => of(s) !== 0));
  const first = HEADER + bandHeight + laneGap;
  const tops = lanes.map((_, index) => first + index * (laneHeight + laneGap));
  const bottom = tops.at(-1)! + laneHeight;
  const notes = notesOf(chart, bottom + 56);
  const height = notes.bottom;

  return element(
    'svg',
    {
      xmlns: 'http://www.w3.org/2000/svg',
      viewBox: `0 0 ${WIDTH} ${height}`,
      width: WIDTH,
      height,
      'font-family': FONT_FAMILY,
      role: 'img',
      'aria-label': `${chart.title}: ${chart.facts}`,
    },
    [
      element('rect', { width: WIDTH, height, fill: PAPER }),
      text(LEFT, 44, chart.title, { 'font-size': 24, 'font-weight': 600, fill: INK }),
      text(LEFT, 68, chart.facts, { 'font-size': 13, fill: PALE }),
      ...warningBands(chart, across, HEADER, bottom),
      ...projectionBand(chart, across),
      ...timeAxis(chart, across, first, bottom),
      ...lanes.flatMap((lane, index) => drawLane(lane, chart, across, tops[index]!)),
      ...keyframeMarks(chart, across, bottom),
      ...shotMarks(chart, across, bottom),
      ...notes.elements,
    ],
  );
}

type Across = (seconds: number) => number;

function drawLane(lane: Lane, chart: Chart, across: Across, top: number): string[] {
  const values = chart.samples.map(lane.of);
  const scale = scaleFor(lane.floor === undefined ? values : [...values, lane.floor], lane.unit, {
    least: lane.least,
  });
  const up = upIn(scale, top);
  const curve = pathOf(
    chart.samples.map((sample, index) => [across(sample.at), up(values[index]!)] as const),
  );
  const [start, end] = [across(chart.samples[0]!.at), across(chart.samples.at(-1)!.at)];
  const base = up(scale.low);
  return [
    ...scale.ticks.flatMap((tick) => [
      line(LEFT, up(tick), WIDTH - RIGHT, up(tick), { stroke: INK, 'stroke-opacity': 0.1 }),
      text(LEFT - 10, up(tick) + 4, numberText(tick) + lane.suffix, {
        'font-size': 11,
        fill: PALE,
        'text-anchor': 'end',
      }),
    ]),
    text(WIDTH - RIGHT + 14, top + 16, lane.title, {
      'font-size': 14,
      'font-weight': 600,
      fill: lane.colour,
    }),
    ...lane.about.map((words, row) =>
      text(WIDTH - RIGHT + 14, top + 34 + 15 * row, words, { 'font-size': 11, fill: PALE }),
    ),
    ...(lane.filled
      ? [
          element('path', {
            d: `${curve} L${end.toFixed(1)} ${base} L${start.toFixed(1)} ${base} Z`,
            fill: lane.colour,
            'fill-opacity': 0.16,
          }),
        ]
      : []),
    ...limitLine(lane, scale, up),
    element('path', {
      d: curve,
      fill: 'none',
      stroke: lane.colour,
      'stroke-width': 2,
      'stroke-linejoin': 'round',
    }),
    ...(lane.filled ? [] : dotsAt(chart, lane, across, up)),
  ];
}

const upIn =
  ({ low, high }: Scale, top: number) =>
  (value: number): number =>
    top + laneHeight * (1 - (value - low) / (high - low));

function limitLine({ limit }: Lane, { low, high }: Scale, up: (value: number) => number): string[] {
  if (limit === undefined || limit <= low || limit > high) return [];
  return [
    line(LEFT, up(limit), WIDTH - RIGHT, up(limit), {
      stroke: WARNING,
      'stroke-width': 1.5,
      'stroke-dasharray': '6 4',
    }),
    text(WIDTH - RIGHT - 6, up(limit) - 5, 'our limit', {
      'font-size': 11,
      fill: WARNING,
      'text-anchor': 'end',
    }),
  ];
}

/** The curve's value at each keyframe. */
function dotsAt(chart: Chart, lane: Lane, across: Across, up: (value: number) => number): string[] {
  return chart.keyframes.map(({ at }) =>
    element('circle', {
      cx: across(at).toFixed(1),
      cy: up(lane.of(nearest(chart.samples, at))).toFixed(1),
      r: 3.5,
      fill: PAPER,
      stroke: lane.colour,
      'stroke-width': 2,
    }),
  );
}

function nearest(samples: readonly ChartSample[], at: number): ChartSample {
  return samples.reduce((best, sample) =>
    Math.abs(sample.at - at) < Math.abs(best.at - at) ? sample : best,
  );
}

function timeAxis(chart: Chart, across: Across, top: number, bottom: number): string[] {
  return timeTicks(chart.duration, 12).flatMap((tick) => [
    line(across(tick), top, across(tick), bottom, { stroke: INK, 'stroke-opacity': 0.06 }),
    text(across(tick), bottom + 34, `${numberText(tick)} s`, {
      'font-size': 11,
      fill: PALE,
      'text-anchor': 'middle',
    }),
  ]);
}

/** Stretches of one projection as blocks; what lies between two is their morph. */
function projectionBand(chart: Chart, across: Across): string[] {
  const runs: { name: string; from: number; to: number }[] = [];
  for (const { at, projection } of chart.samples) {
    const last = runs.at(-1);
    if (last?.name === projection) last.to = at;
    else {
      if (last) last.to = at;
      runs.push({ name: projection, from: at, to: at });
    }
  }
  if (runs.length > 0) runs.at(-1)!.to = chart.duration;
  return runs.flatMap(({ name, from, to }, index) => {
    const [x, wide] = [across(from), across(to) - across(from)];
    const morph = name.includes(' to ');
    return [
      element('rect', {
        x: x.toFixed(1),
        y: HEADER,
        width: Math.max(0, wide - 2).toFixed(1),
        height: bandHeight,
        rx: 4,
        fill: INK,
        'fill-opacity': morph ? 0.05 : index % 2 === 0 ? 0.12 : 0.18,
      }),
      ...(wide > 7 * name.length
        ? [
            text(x + wide / 2, HEADER + bandHeight / 2 + 4, name, {
              'font-size': 12,
              fill: INK,
              'text-anchor': 'middle',
            }),
          ]
        : []),
    ];
  });
}

function keyframeMarks(chart: Chart, across: Across, bottom: number): string[] {
  return chart.keyframes.flatMap(({ at, label }) => {
    const x = across(at);
    const y = bottom + 10;
    return [
      line(x, HEADER + bandHeight, x, bottom, { stroke: INK, 'stroke-opacity': 0.25 }),
      element('path', { d: `M${x.toFixed(1)} ${y - 6} l5 6 l-5 6 l-5 -6 Z`, fill: INK }, [
        element('title', {}, [escaped(`${label}, ${numberText(at)} s`)]),
      ]),
    ];
  });
}

function shotMarks(chart: Chart, across: Across, bottom: number): string[] {
  return chart.shots.flatMap(({ at, label }) => [
    line(across(at), HEADER - 6, across(at), bottom, { stroke: INK, 'stroke-width': 1.5 }),
    text(across(at) + 4, HEADER - 8, label, { 'font-size': 11, fill: INK }),
  ]);
}

function warningBands(chart: Chart, across: Across, top: number, bottom: number): string[] {
  return chart.warnings.map(({ from, to }) =>
    element('rect', {
      x: across(from).toFixed(1),
      y: top,
      width: Math.max(3, across(to) - across(from)).toFixed(1),
      height: bottom - top,
      fill: WARNING,
      'fill-opacity': 0.16,
    }),
  );
}

/** The warnings in words, below the lanes. */
function notesOf({ warnings }: Chart, top: number): { elements: string[]; bottom: number } {
  const elements = warnings.map(({ message }, index) =>
    text(LEFT, top + 12 + 20 * index, `▲ ${message}`, { 'font-size': 13, fill: WARNING }),
  );
  return { elements, bottom: top + 20 * warnings.length + (warnings.length > 0 ? 16 : 0) };
}

const line = (x1: number, y1: number, x2: number, y2: number, more: Attributes): string =>
  element('line', {
    x1: x1.toFixed(1),
    y1: y1.toFixed(1),
    x2: x2.toFixed(1),
    y2: y2.toFixed(1),
    ...more,
  });

const numberText = (value: number): string => String(Number(value.toFixed(2))).replace('-', '−');
