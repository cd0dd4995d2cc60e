// r = sin(theta / 2); the rim, at r = 1, is straight behind
vec4 mirrorBallRay(vec2 point, vec4 params) {
  float r2 = dot(point, point);
  float inward = 1.0 - sqrt(r2);
  if (r2 > 1.0) return vec4(0.0, 0.0, 1.0, inward);
  return vec4(2.0 * sqrt(1.0 - r2) * point, 2.0 * r2 - 1.0, inward);
}
