import { existsSync, readdirSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { onPath, root } from './run.mjs';

/**
 * A need: what is missing in words, whether it is there, and the packages that bring it.
 * @typedef {{ what: string, why: string, there: () => boolean, apt: string[], brew?: string, winget?: string }} Need
 */

const linux = process.platform === 'linux';

/** Where the loader looks, on the distributions we know. */
function libraryFolders() {
  const triplets = {
    x64: 'x86_64-linux-gnu',
    arm64: 'aarch64-linux-gnu',
    arm: 'arm-linux-gnueabihf',
  };
  return [
    ...(process.env.LD_LIBRARY_PATH ?? '').split(':'),
    `/usr/lib/${triplets[process.arch] ?? ''}`,
    ...['/usr/lib64', '/usr/lib', '/usr/local/lib', '/run/opengl-driver/lib'],
  ].filter((folder) => folder !== '' && existsSync(folder));
}

const library = (name) => libraryFolders().some((folder) => existsSync(`${folder}/${name}`));

/** Mesa's drivers: a folder of them, since 24.2 one library beside it. */
const softwareDriver = () =>
  libraryFolders().some(
    (folder) =>
      existsSync(`${folder}/dri/swrast_dri.so`) ||
      readdirSync(folder).some((name) => name.startsWith('libgallium')),
  );

const shippedFfmpeg = () =>
  ['ffmpeg', 'ffmpeg.exe'].some((name) =>
    existsSync(fileURLToPath(new URL(`node_modules/ffmpeg-static/${name}`, root))),
  );

/** @type {Need[]} */
const TO_DRAW = [
  {
    what: 'Xvfb',
    why: 'an X server, to draw without a screen',
    there: () => Boolean(process.env.DISPLAY) || onPath('Xvfb'),
    apt: ['xvfb'],
  },
  {
    what: 'libGL',
    why: 'OpenGL',
    there: () => library('libGL.so.1') && library('libEGL.so.1'),
    apt: ['libgl1', 'libegl1'],
  },
  {
    what: 'Mesa',
    why: 'the OpenGL driver that needs no graphics card',
    there: () => library('libGLX_mesa.so.0') && softwareDriver(),
    apt: ['libglx-mesa0', 'libgl1-mesa-dri'],
  },
];

/** @type {Need} */
const FFMPEG = {
  what: 'ffmpeg',
  why: 'to write clips',
  there: () => Boolean(process.env.FFMPEG_BIN) || shippedFfmpeg() || onPath('ffmpeg'),
  apt: ['ffmpeg'],
  brew: 'ffmpeg',
  winget: 'ffmpeg',
};

/** Its names on the systems we know; tests/preview/support.ts takes the same. */
const BROWSERS = ['chromium', 'chromium-browser', 'google-chrome'];

/** @type {Need[]} */
const FOR_TESTS = [
  {
    what: 'ffprobe',
    why: 'for the tests: reads clips back (it comes with ffmpeg)',
    there: () => onPath('ffprobe'),
    apt: ['ffmpeg'],
    brew: 'ffmpeg',
    winget: 'ffmpeg',
  },
  {
    what: 'exiftool',
    why: 'for the tests: reads metadata back',
    there: () => onPath('exiftool'),
    apt: ['libimage-exiftool-perl'],
    brew: 'exiftool',
    winget: 'OliverBetz.ExifTool',
  },
  {
    what: 'exiv2',
    why: 'for the tests: a second reader of metadata',
    there: () => onPath('exiv2'),
    apt: ['exiv2'],
    brew: 'exiv2',
  },
  {
    what: 'chromium',
    why: 'for the tests: looks at the preview page',
    there: () => Boolean(process.env.CHROMIUM_BIN) || BROWSERS.some(onPath),
    apt: ['chromium'],
    brew: 'chromium',
    winget: 'Hibbiki.Chromium',
  },
];

/** Only where npm's `gl` finds no ready-made binary and has to be compiled. @type {Need[]} */
export const TO_COMPILE = [
  ['python3', 'python3', 'python'],
  ['make', 'make', 'make'],
  ['g++', 'g++', 'gcc'],
].map(([what, apt, brew]) => ({
  what,
  why: 'to compile the npm package gl',
  there: () => onPath(what),
  apt: [apt],
  brew,
}));

/** @returns {Need[]} */
export const needs = (forTests) => [
  ...(linux ? TO_DRAW : []),
  FFMPEG,
  ...(forTests ? FOR_TESTS : []),
];
