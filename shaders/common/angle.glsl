// Angles by polynomials of our own: drivers' built-in inverse functions are too coarse on many GPUs.
// Minimax fits (Lawson's iteration). Bounds are stated for exact arithmetic.

// Like atan(y, x), in radians; (0, 0) gives 0. The fit is off by at most 2.5e-7 rad.
float angleAtan2(float y, float x) {
  vec2 size = abs(vec2(x, y));
  float t = min(size.x, size.y) / max(max(size.x, size.y), 1e-30);
  float t2 = t * t;
  float angle = 0.00681179301;
  angle = angle * t2 - 0.0336042197;
  angle = angle * t2 + 0.0796236714;
  angle = angle * t2 - 0.13233342;
  angle = angle * t2 + 0.198078156;
  angle = angle * t2 - 0.333173681;
  angle = (angle * t2 + 0.999996112) * t;
  angle = size.y > size.x ? 1.57079633 - angle : angle;
  angle = x < 0.0 ? 3.14159265 - angle : angle;
  return y < 0.0 ? -angle : angle;
}

// Cosine and sine for angles from -pi to pi, off by at most 1e-7: those of the half, doubled.
vec2 angleCosSin(float angle) {
  float h = 0.5 * angle;
  float h2 = h * h;
  float c = ((2.31539344e-5 * h2 - 1.38537045e-3) * h2 + 0.0416635847) * h2 - 0.499999053;
  c = c * h2 + 0.999999953;
  float s = ((2.5904885e-6 * h2 - 1.98008978e-4) * h2 + 8.33289982e-3) * h2 - 0.166666476;
  s = (s * h2 + 0.999999977) * h;
  return vec2((c - s) * (c + s), 2.0 * s * c);
}
