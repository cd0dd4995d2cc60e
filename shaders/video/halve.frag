// The rows round the poles, each averaged in pairs along itself. The target holds `rows` rows from the top,
// then as many up to the bottom one; so does the source, or it is a whole level of `sourceRows` rows.

uniform float rows;
uniform float sourceRows;

void main() {
  vec2 at = gl_FragCoord.xy;
  float row = at.y < rows ? at.y : sourceRows - 2.0 * rows + at.y;
  float column = (at.x - 0.5) * 2.0;
  gl_FragColor = vec4(
    0.5 * (sourceLight(vec2(column + 0.5, row)) + sourceLight(vec2(column + 1.5, row))), 1.0
  );
}
