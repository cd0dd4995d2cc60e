// A finished frame on a canvas, whose first row is its bottom one.
precision highp float;

uniform sampler2D frame;
uniform vec2 canvasSize;

void main() {
  vec2 at = gl_FragCoord.xy / canvasSize;
  gl_FragColor = texture2D(frame, vec2(at.x, 1.0 - at.y));
}
