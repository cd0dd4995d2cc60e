// One frame: every pixel averages rays through it in linear light. SAMPLES by SAMPLES of them, or, with
// SAMPLES 0, as many as the master's texels in it ask for.

// Lookups reach a little less far than the rays lie apart: they blur by themselves. Measured against the
// reference in tests/render/frame.test.ts.
const float REACH = SAMPLES == 1 ? 1.0 : 0.8;

#if SAMPLES == 0
const float LEAST_SIDE = 4.0;
const float LEAST_MAGNIFIED_SIDE = 2.0;
const float MOST_RAYS = 64.0;
const float ADAPTIVE_REACH = 0.5;

// Rays across and down a pixel that is `texels` of the master wide and high.
vec2 raysFor(vec2 texels, float covered) {
  // Across a ball's rim no derivative tells how fast the picture changes there.
  if (covered < 1.0) return vec2(float(MOST_SIDE));
  // A texel that covers two pixels has little for many rays to find.
  if (max(texels.x, texels.y) < 0.5) return vec2(LEAST_MAGNIFIED_SIDE);
  vec2 rays = clamp(ceil(texels), LEAST_SIDE, MOST_RAYS / LEAST_SIDE);
  return max(vec2(LEAST_SIDE), floor(rays * min(1.0, sqrt(MOST_RAYS / (rays.x * rays.y)))));
}
#endif

// Where in the view a place of the frame lies: -1 to 1, +y up; the frame's row 0 is its top.
vec2 placeInView(vec2 frame) {
  vec2 at = frame / frameSize * 2.0 - 1.0;
  return vec2(at.x, -at.y);
}

struct PixelTurn {
  vec3 right;
  vec3 down;
  float covered; // how far within the picture's edge the pixel lies: 1 for wholly
};

// How far the direction turns, in radians, from one pixel to the next on its right and below. Taken from
// the direction itself: the master's u and v jump at the seam and race at the poles, a direction does not.
PixelTurn pixelTurn() {
  // Within a pixel of the edge the next pixel may lie beyond it.
  vec4 ray = viewRay(placeInView(gl_FragCoord.xy), 6.0 / frameSize.x);
  return PixelTurn(dFdx(ray.xyz), dFdy(ray.xyz), ray.w);
}

void main() {
  PixelTurn turn = pixelTurn();
  vec2 sides = vec2(length(turn.right), length(turn.down));
  // The mean of the two sides, or half the wider one where the pixel is drawn out.
  float footprint = max(sqrt(length(cross(turn.right, turn.down))), 0.5 * max(sides.x, sides.y));
#if SAMPLES == 0
  vec2 rays = raysFor(sides * masterSize.y * 0.31830988618, turn.covered);
  MasterDetail detail = masterDetail(footprint, max(sides.x / rays.x, sides.y / rays.y) * ADAPTIVE_REACH);
#else
  const vec2 rays = vec2(SAMPLES);
  MasterDetail detail = masterDetail(footprint, footprint * REACH * sqrt(exposure) / float(SAMPLES));
#endif
  float span = 2.0 / frameSize.x / rays.x;
  vec3 light = vec3(0.0);
  float covered = 0.0;
  for (int row = 0; row < MOST_SIDE; row++) {
#if SAMPLES == 0
    if (float(row) >= rays.y) break;
#endif
    for (int column = 0; column < MOST_SIDE; column++) {
#if SAMPLES == 0
      if (float(column) >= rays.x) break;
#endif
      vec2 inPixel = (vec2(float(column), float(row)) + 0.5) / rays - 0.5 + jitter / rays;
      vec4 ray = viewRay(placeInView(gl_FragCoord.xy + inPixel), span);
      vec3 direction = rotation * ray.xyz;
      vec3 arriving = masterLight(direction, detail);
#if defined(MASTER_MAGNIFIED) && SAMPLES == 0
      if (detail.magnified > 0.0) {
        vec3 magnified = masterMagnifiedLight(masterPlace(direction));
        arriving = mix(arriving, magnified, detail.magnified);
      }
#endif
      light += ray.w * arriving;
      covered += ray.w;
    }
  }
  float share = 1.0 / (rays.x * rays.y);
  light *= share;
  covered *= share;
#if defined(MASTER_MAGNIFIED) && SAMPLES != 0
  // One such lookup serves the whole pixel, which is smaller than a texel.
  if (detail.magnified > 0.0) {
    vec3 through = rotation * viewRay(placeInView(gl_FragCoord.xy + jitter), span).xyz;
    light = mix(light, covered * masterMagnifiedLight(masterPlace(through)), detail.magnified);
  }
#endif
  vec4 frame = overBackground(light, covered, placeInView(gl_FragCoord.xy));
#ifdef EXPOSE
  gl_FragColor = texture2D(earlierLight, gl_FragCoord.xy / frameSize) + frame * (exposure * sourceShare);
#else
  gl_FragColor = develop(frame);
#endif
}
