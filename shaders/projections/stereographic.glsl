// r = 2 tan(theta / 2)
vec4 stereographicRay(vec2 point, vec4 params) {
  float r2 = dot(point, point);
  return vec4(normalize(vec3(4.0 * point, r2 - 4.0)), ENDLESS);
}
