// The light that the ball sends along a ray. What it shows turns faster than the view by a law of its own
// (ballStretch), so each way that light takes has a footprint of its own, worked out, not taken from
// neighbouring pixels: across the rim those look elsewhere.

struct BallPixel {
  bool touched;     // whether the pixel may show any of the ball
  bool crossed;     // whether its rim crosses the pixel
  bool squeezed;    // whether it is near enough to change a lot within the pixel
  vec2 rim;         // how far rays come within the rim along the pixel's two sides
  Footprint widest; // of what asks for the most rays
  Footprint reflected;
#ifdef BALL_GLASS
  Footprint through;
  Footprint returned;
#endif
};

struct BallDetail {
  MasterDetail reflected;
#ifdef BALL_GLASS
  MasterDetail through;
  MasterDetail returned;
#endif
};

Footprint ballFootprint(vec2 radial, vec2 tangential, float area, vec2 stretch) {
  vec2 outward = radial * stretch.x;
  vec2 around = tangential * stretch.y;
  return Footprint(outward * outward + around * around, area * stretch.x * stretch.y);
}

// Of the pixel round `ray`, which turns by `right` and `down` along its sides.
BallPixel ballPixel(vec3 ray, vec3 right, vec3 down) {
  BallMeeting at = ballMeeting(ray);
  // In the very middle of the ball any side is the outer one.
  vec3 outer = at.sine > 1e-6 ? at.towards / at.sine : normalize(right + vec3(0.0, 1e-20, 0.0));
  vec3 around = cross(ray, outer);
  vec2 radial = vec2(dot(outer, right), dot(outer, down));
  vec2 tangential = vec2(dot(around, right), dot(around, down));
  float area = length(cross(right, down));
  vec2 rim = at.ahead * radial;
  float pace = length(rim);
  // A pixel at the rim spans angles of incidence up to a right one, and their mean change is finite.
  float steepest = sqrt(max(0.5 * pace, 1e-6));
  float bend = 1.0 / max(at.cosine, steepest);
  vec2 stretch = ballStretch(at, ballReflected(at, bend));
  Footprint reflected = ballFootprint(radial, tangential, area, stretch);
  bool touched = at.inward > -2.0 * pace;
  bool crossed = abs(at.inward) < pace;
  bool squeezed = at.inward < 4.0 * pace;
#ifdef BALL_GLASS
  float within = ballWithin(at);
  float bendWithin = 1.0 / (ballIndex * max(within, steepest));
  stretch = ballStretch(at, ballThrough(at, within, bend, bendWithin));
  Footprint through = ballFootprint(radial, tangential, area, stretch);
  stretch = ballStretch(at, ballReturned(at, within, bend, bendWithin));
  Footprint returned = ballFootprint(radial, tangential, area, stretch);
  vec2 most = max(reflected.squares, through.squares);
  Footprint widest = Footprint(most, 0.0);
  return BallPixel(touched, crossed, squeezed, rim, widest, reflected, through, returned);
#else
  return BallPixel(touched, crossed, squeezed, rim, reflected, reflected);
#endif
}

BallDetail ballDetail(BallPixel pixel, vec2 rays) {
  return BallDetail(
    footprintDetail(pixel.reflected, rays)
#ifdef BALL_GLASS
    , footprintDetail(pixel.through, rays)
    , footprintDetail(pixel.returned, rays)
#endif
  );
}

// The share of a ray's sample that the ball covers.
float ballCoverage(BallPixel pixel, vec2 rays, BallMeeting at) {
  return clamp(at.inward / max(length(pixel.rim / rays), 1e-9) + 0.5, 0.0, 1.0);
}

vec3 ballLight(BallMeeting at, BallDetail detail) {
  // No ray's light depends on how fast its direction turns.
  const float UNUSED = 0.0;
  vec3 light = rayLight(ballDirection(at, ballReflected(at, UNUSED)), detail.reflected);
#ifdef BALL_GLASS
  float within = ballWithin(at);
  float share = ballReflectance(at, within);
  vec3 through = ballDirection(at, ballThrough(at, within, UNUSED, UNUSED));
  vec3 returned = ballDirection(at, ballReturned(at, within, UNUSED, UNUSED));
  // Reflected once within, this stands for all that is reflected there more often too.
  vec3 entered = (1.0 - share) * rayLight(through, detail.through)
    + share * rayLight(returned, detail.returned);
  return share * light + (1.0 - share) * ballTint * entered;
#else
  // Metals reflect in their colour straight on, in white at grazing angles.
  return ballSchlick(ballTint, at.cosine) * light;
#endif
}
