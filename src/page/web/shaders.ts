/// <reference types="vite/client" />
import { WorkError } from '../../errors.js';
import type { ShaderReader } from '../../render/shaders.js';

const texts = import.meta.glob<string>(
  [
    '../../../shaders/{common,projections,page}/*.glsl',
    '!../../../shaders/common/{ball*,stepped}.glsl',
    '../../../shaders/background/colour.glsl',
    '../../../shaders/frame.frag',
    '../../../shaders/cover.vert',
  ],
  { query: '?raw', import: 'default', eager: true },
);

/** The shaders that this page may need, carried with it. */
export const readShader: ShaderReader = (name) => {
  const text = texts[`../../../shaders/${name}`];
  if (text === undefined) throw new WorkError(`The page was built without the shader ${name}.`);
  return text;
};
