// x = S sin(lon), y = S tan(lat), S = (d + 1) / (d + cos(lon)); params.x is d
vec4 paniniRay(vec2 point, vec4 params) {
  float d = params.x;
  float reach = d + 1.0;
  float x2 = point.x * point.x;
  float share = (d * reach + sqrt(reach * reach + (1.0 - d * d) * x2)) / (x2 + reach * reach);
  return vec4(normalize(vec3(point * share, d - share * reach)), ENDLESS);
}
