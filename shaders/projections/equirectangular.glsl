// x = lon, y = lat
vec4 equirectangularRay(vec2 point, vec4 params) {
  const vec2 EDGE = vec2(3.14159265, 1.57079633);
  vec2 place = clamp(point, -EDGE, EDGE);
  vec2 lon = angleCosSin(place.x);
  vec2 lat = angleCosSin(place.y);
  vec2 inward = EDGE - abs(point);
  return vec4(lat.x * lon.y, lat.y, -lat.x * lon.x, min(inward.x, inward.y));
}
