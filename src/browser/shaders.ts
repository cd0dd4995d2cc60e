/// <reference types="vite/client" />
import { WorkError } from '../errors.js';
import type { ShaderReader } from '../render/shaders.js';

/** Those that draw frames, as text; the demo's stay out. */
const texts = import.meta.glob<string>(
  [
    '../../shaders/{common,background,projections}/*.glsl',
    '../../shaders/{frame,stepped,mesh,develop,show}.frag',
    '../../shaders/{cover,mesh}.vert',
  ],
  { query: '?raw', import: 'default', eager: true },
);

/** In place of render/shaders.ts, which reads files. */
export const readShader: ShaderReader = (name) => {
  const text = texts[`../../shaders/${name}`];
  if (text === undefined) throw new WorkError(`The page was built without the shader ${name}.`);
  return text;
};
