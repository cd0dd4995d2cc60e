// Puts a vertex straight where the equirectangular tile shows it; no perspective division follows.
precision highp float;
attribute vec3 position, normal, colour;
attribute float glow, sunlight;
uniform vec3 eye;
uniform float flip;
uniform float centre;
uniform vec4 tile;
varying vec3 place, facing, paint;
varying float shine, depth, lit;
varying vec2 spot;

const float PI = 3.14159265;

float wrapped(float angle) {
  return mod(angle + PI, 2.0 * PI) - PI;
}

void main() {
  place = position;
  facing = normal;
  paint = colour;
  shine = glow;
  lit = sunlight;
  vec3 ray = position - eye;
  float range = length(ray);
  float longitude = atan(ray.x, -ray.z);
  float latitude = asin(ray.y / range);
  float middle = tile.x + 0.5 * tile.z;
  float x = wrapped(centre - middle) + wrapped(longitude - centre);
  depth = range;
  spot = vec2(0.5 + x / tile.z, (latitude - tile.y) / tile.w);
  gl_Position = vec4(2.0 * spot - 1.0, log2(1.0 + range) / 8.0 - 1.0, 1.0);
}
