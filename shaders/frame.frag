// One frame: every pixel averages rays through it in linear light. SAMPLES by SAMPLES of them, or, with
// SAMPLES 0, as many as the master's texels in it ask for. With STEPPED, rays of one pixel are worked out
// together where they may be.

struct PixelTurn {
  vec3 right;
  vec3 down;
  float covered; // how far within the picture's edge the pixel lies: 1 for wholly
#ifdef STEPPED
  vec3 middle;
  bool clear; // of the edge, near which directions turn ever faster
#endif
};

// Within a pixel of the edge the next pixel may lie beyond it.
const float EDGE_SPAN = 6.0;
#ifdef STEPPED
const float CLEAR_SPAN = 64.0;
// How many pixels a pole must lie away.
const float CLEAR_POLE = 16.0;
#endif

// How far the direction turns, in radians, from one pixel to the next on its right and below. Taken from
// the direction itself: the master's u and v jump at the seam and race at the poles, a direction does not.
PixelTurn pixelTurn() {
#ifdef STEPPED
  vec4 ray = viewRay(placeInView(gl_FragCoord.xy), CLEAR_SPAN / frameSize.x);
  float covered = clamp((ray.w - 0.5) * (CLEAR_SPAN / EDGE_SPAN) + 0.5, 0.0, 1.0);
  return PixelTurn(dFdx(ray.xyz), dFdy(ray.xyz), covered, ray.xyz, ray.w >= 1.0);
#else
  vec4 ray = viewRay(placeInView(gl_FragCoord.xy), EDGE_SPAN / frameSize.x);
  return PixelTurn(dFdx(ray.xyz), dFdy(ray.xyz), ray.w);
#endif
}

void main() {
  PixelTurn turn = pixelTurn();
  Footprint footprint = footprintOf(turn.right, turn.down);
#ifdef BALL
  vec3 middle = rotation * viewRay(placeInView(gl_FragCoord.xy), 1.0).xyz;
  BallPixel onBall = ballPixel(middle, rotation * turn.right, rotation * turn.down);
#endif
#if SAMPLES == 0
  vec2 widest = footprintSides(footprint);
  float whole = turn.covered;
#ifdef BALL
  if (onBall.touched) widest = max(widest, footprintSides(onBall.widest));
  if (onBall.crossed) whole = 0.0;
#endif
  vec2 rays = raysFor(widest * masterTexelsARadian(), whole);
#elif defined(BALL)
  // Where the ball's picture is squeezed together at its rim, as many as there may be.
  vec2 rays = vec2(onBall.touched && onBall.squeezed ? MOST_SIDE : SAMPLES);
#else
  const vec2 rays = vec2(SAMPLES);
#endif
  MasterDetail detail = footprintDetail(footprint, rays);
#ifdef BALL
  BallDetail inBall = ballDetail(onBall, rays);
  vec3 ballsLight = vec3(0.0);
  float ballCovered = 0.0;
#endif
#ifdef MASTER_MAGNIFIED
  // Beyond a ball's rim nothing turns, which must not pass for a close-up.
  if (turn.covered < 1.0) detail.magnified = 0.0;
#endif
#ifdef STEPPED
  vec3 middleWay = rotation * turn.middle;
  vec2 uv = masterPlace(middleWay);
  vec2 right = dFdx(uv);
  vec2 down = dFdy(uv);
  bool even = turn.clear
    && dot(middleWay.xz, middleWay.xz)
      > CLEAR_POLE * CLEAR_POLE * max(footprint.squares.x, footprint.squares.y)
    // Steps must not lead over the seam.
    && abs(uv.x - 0.5) + abs(right.x) + abs(down.x) < 0.5;
#ifdef BALL
  even = even && !onBall.touched;
#endif
  if (even) {
    gl_FragColor = shownLight(vec4(steppedLight(uv, right, down, detail), 1.0));
    return;
  }
#endif
  float span = 2.0 / frameSize.x / rays.x;
  vec3 light = vec3(0.0);
  float shown = 0.0;
  for (int row = 0; row < MOST_SIDE; row++) {
#if SAMPLES != MOST_SIDE
    if (float(row) >= rays.y) break;
#endif
    for (int column = 0; column < MOST_SIDE; column++) {
#if SAMPLES != MOST_SIDE
      if (float(column) >= rays.x) break;
#endif
      vec2 inPixel = (vec2(float(column), float(row)) + 0.5) / rays - 0.5 + jitter / rays;
      vec4 ray = viewRay(placeInView(gl_FragCoord.xy + inPixel), span);
      vec3 direction = rotation * ray.xyz;
      float seen = ray.w;
#ifdef BALL
      if (onBall.touched) {
        BallMeeting at = ballMeeting(direction);
        float hidden = seen * ballCoverage(onBall, rays, at);
        if (hidden > 0.0) ballsLight += hidden * ballLight(at, inBall);
        ballCovered += hidden;
        seen -= hidden;
        if (seen <= 0.0) continue;
      }
#endif
#if SAMPLES == 0
      light += seen * rayLight(direction, detail);
#else
      light += seen * masterLight(direction, detail);
#endif
      shown += seen;
    }
  }
  float share = 1.0 / (rays.x * rays.y);
  light *= share;
  shown *= share;
#if defined(MASTER_MAGNIFIED) && SAMPLES != 0
  // One such lookup serves the whole pixel, which is smaller than a texel.
  if (detail.magnified > 0.0) {
    vec3 through = rotation * viewRay(placeInView(gl_FragCoord.xy + jitter), span).xyz;
    light = mix(light, shown * masterMagnifiedLight(masterPlace(through)), detail.magnified);
  }
#endif
  float covered = shown;
#ifdef BALL
  light += share * ballsLight;
  covered += share * ballCovered;
#endif
  vec4 frame = overBackground(light, covered, placeInView(gl_FragCoord.xy));
  gl_FragColor = shownLight(frame);
}
