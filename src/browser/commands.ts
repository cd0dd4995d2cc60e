import type { Regl } from 'regl';
import { WorkError } from '../errors.js';
import { createFramebuffer, type DrawTarget } from './framebuffer.js';
import { createBuffer, createElements, type ElementBuffer, type VertexBuffer } from './geometry.js';
import { createTexture, type PageTexture } from './texture.js';

/**
 * The part of regl's interface that the renderer draws with. regl itself makes its commands by compiling
 * text, which a strict content security policy forbids; and a page to share has no room for all of it.
 */
export function createCommands(gl: WebGLRenderingContext): Regl {
  gl.pixelStorei(gl.UNPACK_ALIGNMENT, 1);
  gl.disable(gl.DITHER);
  const use = (target: DrawTarget | null | undefined) => {
    gl.bindFramebuffer(gl.FRAMEBUFFER, target?.framebuffer ?? null);
    const { width, height } = target ?? {
      width: gl.drawingBufferWidth,
      height: gl.drawingBufferHeight,
    };
    gl.viewport(0, 0, width, height);
  };
  const commands = (spec: CommandSpec) => createCommand(gl, spec, use);
  return Object.assign(commands, {
    texture: (options: object) => createTexture(gl, options),
    framebuffer: (options: object) => createFramebuffer(gl, options),
    buffer: (points: readonly (readonly number[])[]) => createBuffer(gl, points),
    elements: (options: { readonly data: Uint16Array }) => createElements(gl, options),
    clear({
      framebuffer,
      color,
    }: {
      framebuffer?: DrawTarget;
      color: [number, number, number, number];
    }) {
      use(framebuffer);
      gl.disable(gl.SCISSOR_TEST);
      gl.clearColor(...color);
      gl.clear(gl.COLOR_BUFFER_BIT);
    },
    hasExtension: (name: string) => gl.getExtension(name) !== null,
    destroy: () => gl.getExtension('WEBGL_lose_context')?.loseContext(),
  }) as unknown as Regl;
}

type Props = Readonly<Record<string, unknown>>;
/** A value, or what gives it for the props of one call. */
type Dynamic<T> = T | ((context: unknown, props: Props) => T);

interface Box {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

type Points = readonly (readonly number[])[];

interface CommandSpec {
  readonly frag: string;
  readonly vert: string;
  readonly attributes: Readonly<Record<string, Dynamic<VertexBuffer> | Points>>;
  /** Of vertices, in their order; or else `elements`, in that one. */
  readonly count?: number;
  readonly elements?: Dynamic<ElementBuffer>;
  readonly framebuffer?: Dynamic<DrawTarget | null>;
  readonly scissor?: { readonly enable: boolean; readonly box: Dynamic<Box> };
  readonly uniforms: Readonly<Record<string, Dynamic<unknown>>>;
}

function createCommand(
  gl: WebGLRenderingContext,
  spec: CommandSpec,
  use: (target: DrawTarget | null | undefined) => void,
) {
  const program = link(gl, spec);
  const attributes = Object.entries(spec.attributes).map(([name, given]) => ({
    at: gl.getAttribLocation(program, name),
    given: Array.isArray(given)
      ? createBuffer(gl, given as Points)
      : (given as Dynamic<VertexBuffer>),
  }));
  const setters = settersOf(gl, program);
  return (props: Props = {}) => {
    const now = <T>(value: Dynamic<T>): T =>
      typeof value === 'function' && !isMade(value)
        ? (value as (context: unknown, props: Props) => T)({}, props)
        : (value as T);
    use(now(spec.framebuffer ?? null));
    gl.useProgram(program);
    for (const { at, given } of attributes) {
      const { vertices, size } = now(given);
      gl.bindBuffer(gl.ARRAY_BUFFER, vertices);
      gl.enableVertexAttribArray(at);
      gl.vertexAttribPointer(at, size, gl.FLOAT, false, 0, 0);
    }
    const box = spec.scissor === undefined ? undefined : now(spec.scissor.box);
    if (box === undefined) gl.disable(gl.SCISSOR_TEST);
    else {
      gl.enable(gl.SCISSOR_TEST);
      gl.scissor(box.x, box.y, box.width, box.height);
    }
    for (const [name, set] of setters) set(now(spec.uniforms[name]));
    if (spec.elements === undefined) gl.drawArrays(gl.TRIANGLES, 0, spec.count ?? 0);
    else {
      const elements = now(spec.elements);
      gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, elements.order);
      gl.drawElements(gl.TRIANGLES, elements.count(), gl.UNSIGNED_SHORT, 0);
    }
    for (const { at } of attributes) gl.disableVertexAttribArray(at);
  };
}

/** Textures and orders can be called too. */
const isMade = (value: object): boolean => 'texture' in value || 'order' in value;

function link(gl: WebGLRenderingContext, { vert, frag }: CommandSpec): WebGLProgram {
  const program = gl.createProgram();
  for (const [kind, text] of [
    [gl.VERTEX_SHADER, vert],
    [gl.FRAGMENT_SHADER, frag],
  ] as const) {
    const shader = gl.createShader(kind)!;
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    gl.attachShader(program, shader);
  }
  gl.linkProgram(program);
  if (!gl.getProgramParameter(program, gl.LINK_STATUS) && !gl.isContextLost()) {
    const logs = (gl.getAttachedShaders(program) ?? []).map((shader) =>
      gl.getShaderInfoLog(shader),
    );
    const why = [...logs, gl.getProgramInfoLog(program)].filter(Boolean).join(' ');
    throw new WorkError(`This browser's graphics driver does not take a shader: ${why}`);
  }
  return program;
}

type Setter = (value: unknown) => void;

/** How each of a program's uniforms is set; samplers get a texture unit each. */
function settersOf(gl: WebGLRenderingContext, program: WebGLProgram): Map<string, Setter> {
  const setters = new Map<string, Setter>();
  const count = Number(gl.getProgramParameter(program, gl.ACTIVE_UNIFORMS));
  let units = 0;
  for (let index = 0; index < count; index++) {
    const { name, type } = gl.getActiveUniform(program, index)!;
    const at = gl.getUniformLocation(program, name);
    const unit = type === gl.SAMPLER_2D ? units++ : 0;
    const kinds: Readonly<Record<number, Setter>> = {
      [gl.FLOAT]: (value) => gl.uniform1f(at, value as number),
      [gl.FLOAT_VEC2]: (value) => gl.uniform2fv(at, value as number[]),
      [gl.FLOAT_VEC3]: (value) => gl.uniform3fv(at, value as number[]),
      [gl.FLOAT_VEC4]: (value) => gl.uniform4fv(at, value as number[]),
      [gl.INT]: (value) => gl.uniform1i(at, value as number),
      [gl.BOOL]: (value) => gl.uniform1i(at, Number(value)),
      [gl.FLOAT_MAT3]: (value) => gl.uniformMatrix3fv(at, false, value as number[]),
      [gl.SAMPLER_2D]: (value) => {
        gl.activeTexture(gl.TEXTURE0 + unit);
        gl.bindTexture(gl.TEXTURE_2D, (value as PageTexture).texture);
        gl.uniform1i(at, unit);
      },
    };
    const set = kinds[type];
    if (set === undefined)
      throw new WorkError(`The uniform ${name} has a type that is not set here.`);
    setters.set(name, set);
  }
  return setters;
}
