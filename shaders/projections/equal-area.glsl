// r = 2 sin(theta / 2); the rim, at r = 2, is straight behind
vec4 equalAreaRay(vec2 point, vec4 params) {
  float h2 = 0.25 * dot(point, point);
  float inward = 2.0 - 2.0 * sqrt(h2);
  if (h2 > 1.0) return vec4(0.0, 0.0, 1.0, inward);
  return vec4(sqrt(1.0 - h2) * point, 2.0 * h2 - 1.0, inward);
}
