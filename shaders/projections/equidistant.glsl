// r = theta; the rim, at r = pi, is straight behind
vec4 equidistantRay(vec2 point, vec4 params) {
  float r = length(point);
  float inward = 3.14159265 - r;
  if (inward < 0.0) return vec4(0.0, 0.0, 1.0, inward);
  vec2 cosSin = angleCosSin(r);
  return vec4(point * (cosSin.y / max(r, 1e-12)), -cosSin.x, inward);
}
