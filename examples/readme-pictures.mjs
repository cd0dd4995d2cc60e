// The README's pictures, drawn from the demo master: node examples/readme-pictures.mjs [master] [folder]
import { mkdir, mkdtemp, readdir, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { basename, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import sharp from 'sharp';
import { writeChart } from '../dist/chart.js';
import { findFfmpeg } from '../dist/encode/ffmpeg.js';
import { moves } from '../dist/moves/index.js';
import { renderClips, renderStills } from '../dist/render.js';
import { starterSequence } from '../dist/scene/moves/sample.js';
import { parseSequence } from '../dist/scene/parse.js';
import { withFps } from '../dist/scene/retarget.js';
import { renderSheet } from '../dist/sheet.js';
import { renderStrips } from '../dist/strips.js';

const here = (path) => fileURLToPath(new URL(path, import.meta.url));
const [master = here('valley.jpg'), folder = here('pictures')] = process.argv.slice(2);

const GAP = 8;
const WEBP = { quality: 82, smartSubsample: true };

/** The three looks beside each other. */
const HERO = { width: 528, height: 660 };
const LOOKS = {
  planet: { yaw: -28, pitch: -90, fov: 240, projection: 'stereographic' },
  level: { yaw: -3, pitch: 3, fov: 70, projection: 'rectilinear' },
  ball: { yaw: 12, pitch: -14, fov: 360, projection: 'mirror-ball', background: 'blur' },
};

/** The same direction in each projection, as wide as it looks at its best. */
const THUMB = { width: 320, height: 200 };
const THUMBS = {
  rectilinear: { fov: 70 },
  stereographic: { fov: 150 },
  'mirror-ball': { fov: 360 },
  equidistant: { fov: 180 },
  'equal-area': { fov: 240 },
  orthographic: { fov: 180 },
  cylindrical: { fov: 200, fovSide: 'horizontal' },
  panini: { fov: 150, fovSide: 'horizontal' },
  equirectangular: { fov: 360, fovSide: 'horizontal' },
};

const PAGE_WIDTH = 1400;

/** Of the scenes with a ball: seconds. */
const BALLS = { 'glass-ball': [2, 8], 'mirror-ball': [1, 6] };
const BALL = { width: 360, height: 480 };

const STRIP = { width: 192, height: 342, frames: 8 };

/** Of each picture of a move; small, since there are many. */
const MOVE = { width: 108, height: 144, frames: 6, quality: 72 };

/** A still of the marks' scene in its shapes, at one height. */
const GUIDES = { height: 480, at: 1.5 };

const work = await mkdtemp(join(tmpdir(), 'orbreel-pictures-'));
try {
  await drawViews();
  const looks = Object.keys(LOOKS).map((name) => join(work, `${name}.png`));
  await besideEachOther(looks, HERO, 'hero.webp');
  await drawBalls();
  await drawStrip();
  await drawSheetAndChart();
  await drawGuides();
  await drawMoves();
} finally {
  await rm(work, { recursive: true });
}

/** All single views in one go, so that the master is read once. */
async function drawViews() {
  const looks = Object.entries(LOOKS).map(([name, look]) =>
    view(look, HERO, join(work, `${name}.png`)),
  );
  const thumbs = Object.entries(THUMBS).map(([projection, framing]) =>
    view({ yaw: 8, pitch: 0, projection, ...framing }, THUMB, join(folder, `${projection}.webp`)),
  );
  const scene = parseSequence(
    JSON.stringify({
      master: resolve(master),
      duration: 1,
      outputs: [...looks, ...thumbs],
      keyframes: [{ at: 0 }],
    }),
    here('views.json'),
  );
  const deliveries = scene.outputs.map((output) => ({ output, file: output.file }));
  await renderStills({ scene, deliveries, at: 0, quality: 'final', overwrite: true });
}

/** An output with a keyframe of its own. */
function view({ background = 'transparent', ...look }, { width, height }, file) {
  return { shape: `${width}x${height}`, file, background, keyframes: [{ at: 0, ...look }] };
}

/** Two frames of each scene with a ball. */
async function drawBalls() {
  const files = [];
  for (const [name, times] of Object.entries(BALLS)) {
    const file = here(`../scenes/${name}.yaml`);
    const scene = { ...parseScene(await readFile(file, 'utf8'), file), master: resolve(master) };
    for (const at of times) {
      const still = join(work, `${name}-${at}.png`);
      const deliveries = [{ output: { ...scene.outputs[0], ...BALL }, file: still }];
      await renderStills({ scene, deliveries, at, quality: 'final', overwrite: true });
      files.push(still);
    }
  }
  await besideEachOther(files, BALL, 'balls.webp');
}

/** The intro clip, evenly spaced frames of it. */
async function drawStrip() {
  const { width, height, frames } = STRIP;
  const file = here('../scenes/intro.yaml');
  const whole = parseSequence(await readFile(file, 'utf8'), file);
  const intro = withFps(whole, frames / whole.duration);
  const output = { ...intro.outputs[0], width, height };
  await renderClips({
    scene: overMaster(intro),
    deliveries: [{ output, file: `${join(work, 'strip')}/` }],
    quality: 'final',
    overwrite: false,
    ffmpeg: await findFfmpeg(),
  });
  const files = (await readdir(join(work, 'strip'))).sort();
  await besideEachOther(
    files.map((file) => join(work, 'strip', file)),
    STRIP,
    'intro.webp',
  );
}

/** The scene with the master that was asked for. */
function overMaster(scene) {
  const shots = scene.shots.map((shot) => ({ ...shot, master: resolve(master) }));
  return { ...scene, shots };
}

async function drawGuides() {
  const file = here('../scenes/marks.yaml');
  const scene = parseSequence(await readFile(file, 'utf8'), file);
  const { height, at } = GUIDES;
  const deliveries = scene.outputs.map((output) => {
    const width = 2 * Math.round((height * output.width) / output.height / 2);
    const small = { ...output, width, height };
    return { output: small, file: join(work, `guides-${output.shape}.png`) };
  });
  const stills = { deliveries, at, quality: 'final', overwrite: true, guides: true };
  await renderStills({ scene: overMaster(scene), ...stills });
  let left = 0;
  const parts = deliveries.map(({ file: input, output }) => {
    const part = { input, left, top: 0 };
    left += output.width + GAP;
    return part;
  });
  await composed(parts, left - GAP, height, 'guides.webp');
}

/** A strip of every camera move. */
async function drawMoves() {
  const files = moves.map(({ name }) => join(work, `move-${name}.png`));
  const scene = starterSequence(moves, resolve(master), MOVE);
  await renderStrips({ scene, files, frames: MOVE.frames, quality: 'final', overwrite: true });
  await mkdir(join(folder, 'moves'), { recursive: true });
  for (const [index, { name }] of moves.entries()) {
    const file = join(folder, 'moves', `${name}.webp`);
    await sharp(files[index])
      .webp({ ...WEBP, quality: MOVE.quality })
      .toFile(file);
  }
}

/** Pictures of one size in a row, with transparent gaps. */
async function besideEachOther(files, { width, height }, name) {
  const across = files.length * (width + GAP) - GAP;
  const parts = files.map((input, index) => ({ input, left: index * (width + GAP), top: 0 }));
  await composed(parts, across, height, name);
}

async function composed(parts, width, height, name) {
  await sharp({ create: { width, height, channels: 4, background: '#0000' } })
    .composite(parts)
    .webp(WEBP)
    .toFile(join(folder, name));
}

/** The intro clip on a page, and as curves. */
async function drawSheetAndChart() {
  const file = here('../scenes/intro.yaml');
  const whole = parseSequence(await readFile(file, 'utf8'), file);
  const scene = {
    ...whole,
    shots: whole.shots.map((shot) => ({ ...shot, master: resolve(master) })),
  };
  const [sheet, chart] = ['sheet', 'chart'].map((name) => join(work, `${name}.png`));
  const page = { outputs: [0], frames: 12, quality: 'final', overwrite: true };
  await renderSheet({ ...page, scene, file: sheet });
  await writeChart({ scene, output: scene.outputs[0], file: chart, overwrite: true });
  for (const picture of [sheet, chart]) {
    const name = basename(picture).replace('.png', '.webp');
    await sharp(picture).resize(PAGE_WIDTH).webp(WEBP).toFile(join(folder, name));
  }
}
