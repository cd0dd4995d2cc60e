// One frame: every pixel averages SAMPLES x SAMPLES rays through it, in linear light.

// Where in the view a place of the frame lies: -1 to 1, +y up; the frame's row 0 is its top.
vec2 placeInView(vec2 frame) {
  vec2 at = frame / frameSize * 2.0 - 1.0;
  return vec2(at.x, -at.y);
}

// Radians that the pixel spans: the mean of its two sides, or half the wider one where it is drawn out.
// Taken from its direction's change: the master's u and v jump at the seam and race at the poles, a
// direction does neither.
float pixelFootprint() {
  vec3 direction = viewRay(placeInView(gl_FragCoord.xy), 1.0).xyz;
  vec3 right = dFdx(direction);
  vec3 down = dFdy(direction);
  float wider = sqrt(max(dot(right, right), dot(down, down)));
  return max(sqrt(length(cross(right, down))), 0.5 * wider);
}

void main() {
  MasterDetail detail = masterDetail(pixelFootprint() / float(SAMPLES));
  vec3 light = vec3(0.0);
  float covered = 0.0;
  for (int row = 0; row < SAMPLES; row++) {
    for (int column = 0; column < SAMPLES; column++) {
      vec2 inPixel = (vec2(float(column), float(row)) + 0.5) / float(SAMPLES) - 0.5;
      vec4 ray = viewRay(placeInView(gl_FragCoord.xy + inPixel), 2.0 / frameSize.x / float(SAMPLES));
      light += ray.w * masterLight(rotation * ray.xyz, detail);
      covered += ray.w;
    }
  }
  const float share = 1.0 / float(SAMPLES * SAMPLES);
  gl_FragColor = overBackground(light * share, covered * share, placeInView(gl_FragCoord.xy));
}
