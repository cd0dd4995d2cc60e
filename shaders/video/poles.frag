// The rows round the poles as they are: the target holds `rows` rows from the top, then as many up to the
// bottom one, of the source's `sourceRows`.

uniform float rows;
uniform float sourceRows;

void main() {
  vec2 at = gl_FragCoord.xy;
  if (at.y > rows) at.y += sourceRows - 2.0 * rows;
#ifdef ENCODED_TARGET
  gl_FragColor = vec4(sourceCode(at), 1.0);
#else
  gl_FragColor = vec4(sourceLight(at), 1.0);
#endif
}
