/** A texture as the renderer uses regl's: called with options it becomes another one. */
export interface PageTexture {
  (options: object): PageTexture;
  readonly texture: WebGLTexture;
  sides(): readonly [width: number, height: number];
  subimage(image: object, x: number, y: number): PageTexture;
  destroy(): void;
}

interface TextureOptions {
  readonly width: number;
  readonly height: number;
  readonly format?: 'rgb' | 'rgba' | 'luminance';
  readonly type?: 'uint8' | 'float';
  readonly data?: ArrayBufferView;
  readonly mag?: 'nearest' | 'linear';
  readonly min?: 'nearest' | 'linear';
  readonly wrap?: 'repeat';
  readonly wrapS?: 'repeat';
}

export function createTexture(gl: WebGLRenderingContext, first: object): PageTexture {
  const texture = gl.createTexture();
  const formats = { rgb: gl.RGB, rgba: gl.RGBA, luminance: gl.LUMINANCE };
  const types = { uint8: gl.UNSIGNED_BYTE, float: gl.FLOAT };
  const filters = { nearest: gl.NEAREST, linear: gl.LINEAR };
  let sides: readonly [number, number] = [0, 0];
  const bind = () => {
    gl.activeTexture(gl.TEXTURE0);
    gl.bindTexture(gl.TEXTURE_2D, texture);
    return gl.TEXTURE_2D;
  };
  const fill = (options: object): PageTexture => {
    const {
      width,
      height,
      format = 'rgba',
      type = 'uint8',
      data,
      mag,
      min,
      wrap,
      wrapS,
    } = options as TextureOptions;
    const target = bind();
    const kind = formats[format];
    gl.texImage2D(target, 0, kind, width, height, 0, kind, types[type], data ?? null);
    const turned = wrap ?? wrapS;
    gl.texParameteri(target, gl.TEXTURE_MAG_FILTER, filters[mag ?? 'nearest']);
    gl.texParameteri(target, gl.TEXTURE_MIN_FILTER, filters[min ?? 'nearest']);
    gl.texParameteri(target, gl.TEXTURE_WRAP_S, turned ? gl.REPEAT : gl.CLAMP_TO_EDGE);
    gl.texParameteri(target, gl.TEXTURE_WRAP_T, wrap ? gl.REPEAT : gl.CLAMP_TO_EDGE);
    sides = [width, height];
    return whole;
  };
  const whole = Object.assign((options: object) => fill(options), {
    texture,
    sides: () => sides,
    subimage(image: object, x: number, y: number) {
      const { width, height, data, format = 'rgba' } = image as TextureOptions;
      const kind = formats[format];
      gl.texSubImage2D(bind(), 0, x, y, width, height, kind, gl.UNSIGNED_BYTE, data ?? null);
      return whole;
    },
    destroy: () => gl.deleteTexture(texture),
  }) as PageTexture;
  return fill(first);
}
