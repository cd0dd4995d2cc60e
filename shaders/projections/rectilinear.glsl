// r = tan(theta)
vec4 rectilinearRay(vec2 point, vec4 params) {
  return vec4(normalize(vec3(point, -1.0)), ENDLESS);
}
