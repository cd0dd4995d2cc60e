// r = sin(theta); outside the rim, at r = 1, the rim's direction
vec4 orthographicRay(vec2 point, vec4 params) {
  float r2 = dot(point, point);
  float inward = 1.0 - sqrt(r2);
  if (r2 > 1.0) return vec4(point * inversesqrt(r2), 0.0, inward);
  return vec4(point, -sqrt(1.0 - r2), inward);
}
