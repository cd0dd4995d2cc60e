/** Vertices and their order, as the renderer uses regl's. */

export interface VertexBuffer {
  readonly vertices: WebGLBuffer;
  /** Numbers a vertex. */
  readonly size: number;
  destroy(): void;
}

export function createBuffer(
  gl: WebGLRenderingContext,
  points: readonly (readonly number[])[],
): VertexBuffer {
  const vertices = gl.createBuffer();
  gl.bindBuffer(gl.ARRAY_BUFFER, vertices);
  gl.bufferData(gl.ARRAY_BUFFER, new Float32Array(points.flat()), gl.STATIC_DRAW);
  return { vertices, size: points[0]?.length ?? 2, destroy: () => gl.deleteBuffer(vertices) };
}

/** Called with options it becomes another order. */
export interface ElementBuffer {
  (options: ElementOptions): ElementBuffer;
  readonly order: WebGLBuffer;
  count(): number;
  destroy(): void;
}

interface ElementOptions {
  readonly data: Uint16Array;
}

export function createElements(gl: WebGLRenderingContext, first: ElementOptions): ElementBuffer {
  const order = gl.createBuffer();
  let count = 0;
  const fill = ({ data }: ElementOptions): ElementBuffer => {
    gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, order);
    gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, data, gl.STREAM_DRAW);
    count = data.length;
    return whole;
  };
  const whole: ElementBuffer = Object.assign((options: ElementOptions) => fill(options), {
    order,
    count: () => count,
    destroy: () => gl.deleteBuffer(order),
  });
  return fill(first);
}
