// Which way a place of an equirectangular picture looks. Tiles: first longitude and latitude, then their spans.
uniform vec4 tile;

vec3 rayOf(float longitude, float latitude) {
  return vec3(sin(longitude) * cos(latitude), sin(latitude), -cos(longitude) * cos(latitude));
}

vec3 tileRay(vec2 uv) {
  return rayOf(tile.x + uv.x * tile.z, tile.y + uv.y * tile.w);
}

// The sky picture is a disc: the zenith in its middle, every ring at its angle, 100 degrees at the rim.
const float SKY_RIM = 1.74532925;

vec3 skyRay(vec2 uv) {
  vec2 p = 2.0 * uv - 1.0;
  float r = length(p);
  float angle = min(r, 1.0) * SKY_RIM;
  vec2 side = p / max(r, 1e-6) * sin(angle);
  return vec3(side.x, cos(angle), side.y);
}

vec2 skyPlace(vec3 dir) {
  float flat_ = length(dir.xz);
  float angle = min(atan(flat_, dir.y), 0.998 * SKY_RIM);
  return 0.5 + 0.5 * dir.xz / max(flat_, 1e-6) * angle / SKY_RIM;
}
