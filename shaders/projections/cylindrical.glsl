// x = lon, y = tan(lat)
vec4 cylindricalRay(vec2 point, vec4 params) {
  float longitude = clamp(point.x, -3.14159265, 3.14159265);
  vec2 cosSin = angleCosSin(longitude);
  return vec4(normalize(vec3(cosSin.y, point.y, -cosSin.x)), 3.14159265 - abs(point.x));
}
