// A still by the library instead of the command: node examples/one-still.mjs [master] [picture]
import { resolve } from 'node:path';
import { renderStills } from '../dist/render.js';
import { parseSequence } from '../dist/scene/parse.js';

const [master = 'examples/valley.jpg', picture = 'planet.png'] = process.argv.slice(2);

// A scene is text, YAML or JSON; loadScene (scene/load.js) reads one from a file.
const scene = parseSequence(
  JSON.stringify({
    master: resolve(master),
    duration: 1,
    outputs: ['square'],
    keyframes: [{ at: 0, yaw: -20, pitch: -90, fov: 260, projection: 'stereographic' }],
  }),
  'one-still',
);
const deliveries = scene.outputs.map((output) => ({ output, file: picture }));
await renderStills({ scene, deliveries, at: 0, quality: 'final', overwrite: true });
