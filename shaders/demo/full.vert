precision highp float;
attribute vec2 corner;
varying vec2 uv;
void main() {
  uv = 0.5 + 0.5 * corner;
  gl_Position = vec4(corner, 0.0, 1.0);
}
