// Area averages in linear light: a level out of the one before.

uniform vec2 ratio;      // source texels to a texel, across and down
uniform vec2 sourceSize; // texels

void main() {
  vec2 from = (gl_FragCoord.xy - 0.5) * ratio;
  vec2 to = min(from + ratio, sourceSize);
  // As levels that are no exact halves may end in the middle of a texel.
  vec2 first = min(floor(from + 0.001), sourceSize - 1.0);
  vec3 light = vec3(0.0);
  float total = 0.0;
  for (int row = 0; row < TAPS_DOWN; row++) {
    for (int column = 0; column < TAPS_ACROSS; column++) {
      vec2 cell = first + vec2(float(column), float(row));
      vec2 covered = max(min(cell + 1.0, to) - max(cell, from), 0.0);
      float weight = covered.x * covered.y;
      light += weight * sourceLight(min(cell, sourceSize - 1.0) + 0.5);
      total += weight;
    }
  }
  gl_FragColor = vec4(light / total, 1.0);
}
