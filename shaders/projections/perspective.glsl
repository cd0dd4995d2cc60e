// r = (d + 1) sin(theta) / (d + cos(theta)); params.x is d
vec4 perspectiveRay(vec2 point, vec4 params) {
  float d = params.x;
  float reach = d + 1.0;
  float r2 = dot(point, point);
  float share = (d * reach + sqrt(reach * reach + (1.0 - d * d) * r2)) / (r2 + reach * reach);
  return vec4(normalize(vec3(point * share, d - share * reach)), ENDLESS);
}
