import type { BallLook } from '../scene/types.js';
import { GUTTER } from './atlas.js';
import { DITHER_SIDE } from './dither.js';
import type { ShaderReader } from './shaders.js';

/** What a frame's program depends on; everything else is a uniform. */
export interface FrameProgram {
  /** Names of one lens's projection, or of the two that are blended. */
  readonly projections: readonly [string] | readonly [string, string];
  /** Rays along each side of a pixel; 0 for as many as the footprint asks for. */
  readonly samples: number;
  /** Bilinear lookups in linear light and full precision, rather than the hardware's. */
  readonly exact: boolean;
  /** Whether some pixels are smaller than a texel of the master. */
  readonly magnified: boolean;
  /** Whether some lookups stand for more than a texel. */
  readonly minified: boolean;
  /** Whether all lookups find their texels on one page. */
  readonly onePage: boolean;
  /** What hovers before the master, if anything may. */
  readonly ball: BallLook['kind'] | undefined;
  /** Linear light for a float target, to be added up; otherwise encoded colour. */
  readonly expose: boolean;
  readonly background: 'colour' | 'blur';
  readonly rays: Rays;
  readonly master: MasterProgram;
}

/**
 * How rays find their places on the master. `alone`: each by itself. For hardware lookups only, `stepped`: those of
 * a pixel in steps from its middle; `chosen`: the one or the other, as each pixel tells for itself; `meshed`:
 * stepped from what is interpolated between the corners of a mesh.
 */
export type Rays = 'alone' | 'stepped' | 'chosen' | 'meshed';

/** What a program must know of the master's textures. */
export interface MasterProgram {
  readonly tilesX: number;
  readonly tilesY: number;
  readonly levels: number;
  /** Only a part of it is there. */
  readonly part?: object | undefined;
  /** Bits a channel; 16 come as two textures a page. */
  readonly depth: 8 | 16;
  /** The shader file whose masterPageColour stands in for pages that are no textures. */
  readonly lookup?: string;
}

/** The same where it is not fixed: common/footprint.glsl's MOST_RAYS / LEAST_SIDE. */
export const MOST_ADAPTIVE_SIDE = 16;

/** Highest number of rays along a pixel's side; at a ball's rim twice as many, except in drafts. */
function mostSide(program: Kind): number {
  if (program.samples === 0) return MOST_ADAPTIVE_SIDE;
  return program.ball === undefined || isQuick(program) ? program.samples : 2 * program.samples;
}

/** Links the GLSL files that one kind of frame needs into its shaders. */
export function assembleFrame(
  program: FrameProgram,
  read: ShaderReader,
): { readonly vert: string; readonly frag: string } {
  const { projections, samples, ball, master, expose } = program;
  // Steps keep final's bounds against the reference, but not best's.
  const ways = program.exact ? 'alone' : program.rays;
  const { tilesX, tilesY, levels, depth } = master;
  const pages = program.onePage ? 1 : tilesX * tilesY;
  const file = (name: string) => glslFile(name, read);
  const start = [
    HEAD,
    `#define SAMPLES ${samples}`,
    `#define MASTER_LEVELS ${levels}.0`,
    ...flag('EXPOSE', expose),
    file('common/frame.glsl'),
  ];
  const rays = [
    file('common/angle.glsl'),
    file('common/lens.glsl'),
    ...[...new Set(projections)].map((name) => file(`projections/${name}.glsl`)),
    ...(projections.length === 2 ? [file('common/blend.glsl')] : []),
    viewRay(projections),
    file('common/place.glsl'),
    file('common/view.glsl'),
  ];
  const frag = [
    '#extension GL_OES_standard_derivatives : enable',
    ...start,
    `#define MOST_SIDE ${mostSide(program)}`,
    `#define MASTER_TILES_X ${tilesX}.0`,
    `#define MASTER_TILES_Y ${tilesY}.0`,
    `#define MASTER_PAGES ${pages}`,
    ...flag('MASTER_ONE_TILE', program.onePage && tilesX * tilesY > 1),
    ...flag('MASTER_PART', master.part !== undefined),
    `#define MASTER_GUTTER ${GUTTER}.0`,
    ...flag('MASTER_EXACT', program.exact || depth === 16),
    ...flag('MASTER_MAGNIFIED', program.magnified),
    ...flag('MASTER_MINIFIED', program.minified),
    ...flag('MASTER_NEAREST_LEVEL', isQuick(program)),
    ...flag('PLAIN', isPlain(program)),
    ...flag('STEPPED', ways === 'chosen'),
    ...flag('BALL', ball !== undefined),
    ...flag('BALL_GLASS', ball === 'glass'),
    ...(isDithered(program) ? [DITHER] : []),
    ...rays,
    file('common/light.glsl'),
    file('common/develop.glsl'),
    file('common/shown.glsl'),
    ...(depth === 16 ? [file('common/deep.glsl')] : []),
    master.lookup === undefined ? pageColour(pages, depth) : file(master.lookup),
    file('common/master.glsl'),
    file('common/footprint.glsl'),
    ...(ways === 'alone' ? [] : [file('common/stepped.glsl')]),
    ...(ball === undefined ? [] : [file('common/ball.glsl'), file('common/ball-light.glsl')]),
    file(`background/${program.background}.glsl`),
    file(MAIN[ways]),
  ];
  const vert = ways === 'meshed' ? [...start, ...rays, file('mesh.vert')] : [file('cover.vert')];
  return { vert: vert.join('\n'), frag: frag.join('\n') };
}

const MAIN: Readonly<Record<Rays, string>> = {
  alone: 'frame.frag',
  chosen: 'frame.frag',
  stepped: 'stepped.frag',
  meshed: 'mesh.frag',
};

const flag = (name: string, on: boolean): string[] => (on ? [`#define ${name}`] : []);

type Kind = Pick<FrameProgram, 'samples' | 'expose' | 'ball'>;

/** One ray a pixel, straight into the frame. */
const isQuick = ({ samples, expose }: Kind): boolean => samples === 1 && !expose;

/** Of all that one lookup: nothing to average, so nothing to decode. */
const isPlain = (program: Kind): boolean => isQuick(program) && program.ball === undefined;

/** Whether a program rounds what it averaged. */
export const isDithered = (program: Kind): boolean => !program.expose && !isQuick(program);

const HEAD = 'precision highp float;\nprecision highp sampler2D;';
const DITHER = `#define DITHER ${DITHER_SIDE}.0`;

/** Links the pass that turns added-up light into a frame; `dithered` for 8-bit targets. */
export function assembleDevelop(dithered: boolean, read: ShaderReader): string {
  const files = ['common/light.glsl', 'common/develop.glsl', 'develop.frag'];
  return [HEAD, ...(dithered ? [DITHER] : []), ...files.map((name) => glslFile(name, read))].join(
    '\n',
  );
}

const glslFile = (name: string, read: ShaderReader): string => `// ${name}\n#line 1\n${read(name)}`;

/** WebGL 1 cannot index samplers, so the page is found by comparison. */
function pageColour(pages: number, depth: 8 | 16): string {
  const numbers = Array.from({ length: pages }, (_, index) => index);
  const names = depth === 16 ? ['masterPage', 'masterLowPage'] : ['masterPage'];
  const page = (index: number) => `texture2D(masterPage${index}, at)`;
  const low = (index: number) => `texture2D(masterLowPage${index}, at).rgb`;
  const lookup = (index: number) =>
    depth === 16 ? `return deepCode(${page(index)}, ${low(index)});` : `return ${page(index)}.rgb;`;
  return [
    ...names.flatMap((name) => numbers.map((index) => `uniform sampler2D ${name}${index};`)),
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
