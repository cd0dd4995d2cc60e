// Frames a second of 3840x2160 from a 16384x8192 master, packed 4:2:0, into nothing: for machines with a
// graphics card. Needs only Node, gl, regl, gl-matrix and the compiled dist:
//   node tests/bench/gpu.mjs [--frames N] [--rounds N] [--quality draft|final|best] [--width N] [--json]
import { availableParallelism, loadavg } from 'node:os';
import { parseArgs } from 'node:util';
import { orientationOf } from '../../dist/camera/orientation.js';
import { resolveCamera } from '../../dist/camera/resolve.js';
import { openContext } from '../../dist/render/context.js';
import { createFrameRenderer } from '../../dist/render/frame.js';
import { uploadMaster } from '../../dist/render/masterTexture.js';

const { values } = parseArgs({
  options: {
    frames: { type: 'string', default: '120' },
    rounds: { type: 'string', default: '5' },
    quality: { type: 'string', default: 'final' },
    width: { type: 'string', default: '16384' },
    json: { type: 'boolean', default: false },
  },
});
const [frames, rounds, masterWidth] = [values.frames, values.rounds, values.width].map(Number);
const { quality } = values;
const [WIDTH, HEIGHT] = [3840, 2160];
const BLACK = { kind: 'colour', colour: [0, 0, 0, 255] };
const VIEWS = [
  { name: 'stereographic', fov: 240, pitch: -90 },
  { name: 'rectilinear', fov: 75, pitch: 0 },
];
const LEAST_FPS = 120;

const context = await openContext();
const master = uploadMaster(context, synthetic(masterWidth));
const rows = VIEWS.map(measure);
context.close();
if (values.json) console.log(JSON.stringify(rows));
else
  for (const { work, ours, note, renderer } of rows)
    console.log(`${work}: ${ours.toFixed(1)} fps. ${note} ${renderer}`);

function measure(view) {
  const renderer = createFrameRenderer(context, master, {
    ...{ width: WIDTH, height: HEIGHT, background: BLACK, quality },
  });
  const frame = new Uint8Array((WIDTH * HEIGHT * 3) / 2);
  const load = loadavg()[0];
  let count = 0;
  const draw = () => renderer.draw([cameraAt(view, count++)]);
  const read = () => renderer.read('yuv420p', frame);
  const time = (work) => {
    const start = performance.now();
    for (let i = 0; i < frames; i++) work();
    return (performance.now() - start) / frames;
  };
  const both = () => {
    draw();
    read();
  };
  for (let i = 0; i < 3; i++) both();
  const cpu = process.cpuUsage();
  const wholes = Array.from({ length: rounds }, () => time(both));
  const { user, system } = process.cpuUsage(cpu);
  const perFrame = (user + system) / 1000 / frames / rounds;
  // Each stage waited for: what they overlap with is lost, so they add up to more than the whole.
  const drawn = time(() => {
    draw();
    context.gl.finish();
  });
  const packed = time(read);
  renderer.destroy();
  const whole = median(wholes);
  const part = (name, value) => `${name} ${value.toFixed(2)} ms`;
  const parts = [
    part('whole', whole),
    part('draw alone', drawn),
    part('pack and read back alone', packed),
    part('CPU time', perFrame),
  ];
  return {
    row: 'gpu',
    work: `${WIDTH}x${HEIGHT} ${view.name} from ${masterWidth}, ${quality}`,
    against: 'the aim',
    unit: 'fps',
    ours: 1000 / whole,
    theirs: LEAST_FPS,
    ratio: 1000 / whole / LEAST_FPS,
    target: { kind: 'at least', value: 1 },
    note: `A frame: ${parts.join(', ')}.`,
    renderer: context.info.renderer,
    cpus: availableParallelism(),
    load,
  };
}

function cameraAt({ name, fov, pitch }, frame) {
  const degrees = { degrees: fov, side: 'shorter' };
  const held = (value) => ({ from: value, to: value, mix: 0 });
  const sample = {
    orientation: orientationOf(frame * 1.5, pitch, 0),
    fov: held(degrees),
    projection: held({ name, params: {}, fov: held(degrees) }),
  };
  return resolveCamera(sample, WIDTH, HEIGHT);
}

/** Waves of several lengths. */
function synthetic(width) {
  const [height, period] = [width / 2, 256];
  const data = new Uint8Array(width * height * 3);
  const rows = Array.from({ length: period }, (_, y) =>
    Uint8Array.from({ length: width * 3 }, (_, i) => {
      const x = Math.floor(i / 3);
      const wave = (n) =>
        Math.sin((2 * Math.PI * n * x) / period + (i % 3)) *
        Math.cos((2 * Math.PI * n * y) / period);
      return 128 + 40 * wave(1) + 40 * wave(5) + 30 * wave(60);
    }),
  );
  for (let y = 0; y < height; y++) data.set(rows[y % period], y * width * 3);
  return { width, height, depth: 8, data };
}

function median(values) {
  return values.toSorted((a, b) => a - b)[Math.floor(values.length / 2)];
}
