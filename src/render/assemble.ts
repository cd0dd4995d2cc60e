import { GUTTER } from './atlas.js';
import type { ShaderReader } from './shaders.js';

/** What a frame's program depends on; everything else is a uniform. */
export interface FrameProgram {
  /** Names of one lens's projection, or of the two that are blended. */
  readonly projections: readonly [string] | readonly [string, string];
  /** Rays along each side of a pixel. */
  readonly samples: number;
  readonly background: 'colour' | 'blur';
  readonly tilesX: number;
  readonly tilesY: number;
  readonly levels: number;
}

/** Links the GLSL files that one kind of frame needs into a fragment shader. */
export function assembleFrame(program: FrameProgram, read: ShaderReader): string {
  const names = [...new Set(program.projections)];
  const file = (name: string) => `// ${name}\n#line 1\n${read(name)}`;
  return [
    '#extension GL_OES_standard_derivatives : enable',
    'precision highp float;',
    'precision highp sampler2D;',
    `#define SAMPLES ${program.samples}`,
    `#define MASTER_TILES_X ${program.tilesX}.0`,
    `#define MASTER_TILES_Y ${program.tilesY}.0`,
    `#define MASTER_PAGES ${program.tilesX * program.tilesY}`,
    `#define MASTER_LEVELS ${program.levels}.0`,
    `#define MASTER_GUTTER ${GUTTER}.0`,
    file('common/frame.glsl'),
    file('common/angle.glsl'),
    file('common/light.glsl'),
    pageColour(program.tilesX * program.tilesY),
    file('common/master.glsl'),
    file('common/lens.glsl'),
    ...names.map((name) => file(`projections/${name}.glsl`)),
    ...(program.projections.length === 2 ? [file('common/blend.glsl')] : []),
    viewRay(program.projections),
    file(`background/${program.background}.glsl`),
    file('frame.frag'),
  ].join('\n');
}

/** WebGL 1 cannot index samplers, so the page is found by comparison. */
function pageColour(pages: number): string {
  const numbers = Array.from({ length: pages }, (_, index) => index);
  const lookup = (index: number) => `return texture2D(masterPage${index}, at).rgb;`;
  return [
    ...numbers.map((index) => `uniform sampler2D masterPage${index};`),
    'vec3 masterPageColour(float page, vec2 at) {',
    ...numbers.slice(0, -1).map((index) => `  if (page < ${index}.5) ${lookup(index)}`),
    `  ${lookup(pages - 1)}`,
    '}',
  ].join('\n');
}

function viewRay(projections: FrameProgram['projections']): string {
  const [from, to] = projections;
  const lens = (name: string, end: string) =>
    `lensCoverage(${rayFunction(name)}(at * ${end}HalfExtent, ${end}Params), span * ${end}HalfExtent.x)`;
  const uniforms = (end: string) => [
    `uniform vec2 ${end}HalfExtent;`,
    `uniform vec4 ${end}Params;`,
  ];
  return [
    ...uniforms('from'),
    ...(to === undefined ? [] : [...uniforms('to'), 'uniform float lensMix;']),
    // `span` is a sample's width where the frame's is 2.
    'vec4 viewRay(vec2 at, float span) {',
    to === undefined
      ? `  return ${lens(from, 'from')};`
      : `  return blendRays(${lens(from, 'from')}, ${lens(to, 'to')}, lensMix);`,
    '}',
  ].join('\n');
}

/** `mirror-ball` -> `mirrorBallRay`. */
export function rayFunction(projection: string): string {
  return `${projection.replace(/-(\w)/g, (_, letter: string) => letter.toUpperCase())}Ray`;
}
