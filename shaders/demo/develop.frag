// Develops a tile: exposure and a film-like curve per sample, their mean in linear light, then sRGB with dither.
precision highp float;
varying vec2 uv;
uniform sampler2D samples;
uniform vec2 outputSize;
uniform float perSide;
uniform vec2 origin;

vec3 film(vec3 x) {
  x *= 0.82;
  vec3 curve = (x * (2.51 * x + 0.03)) / (x * (2.43 * x + 0.59) + 0.14);
  return clamp(curve, 0.0, 1.0);
}

// A hash that looks like blue-ish noise: two offset lattices subtract to a triangle distribution.
float speckle(vec2 p) {
  vec3 q = fract(p.xyx * vec3(0.1031, 0.1030, 0.0973));
  q += dot(q, q.yzx + 33.33);
  return fract((q.x + q.y) * q.z);
}

void main() {
  vec2 first = floor(uv * outputSize) * perSide;
  vec2 size = outputSize * perSide;
  vec3 sum = vec3(0.0);
  for (int j = 0; j < 2; j++) {
    for (int i = 0; i < 2; i++) {
      vec2 at = first + min(vec2(float(i), float(j)), vec2(perSide - 1.0)) + 0.5;
      vec3 light = texture2D(samples, at / size).rgb;
      float grey = dot(light, vec3(0.2126, 0.7152, 0.0722));
      sum += film(max(mix(vec3(grey), light, 0.99), 0.0));
    }
  }
  vec3 linear = sum * 0.25;
  vec3 encoded = mix(linear * 12.92, 1.055 * pow(max(linear, 1e-5), vec3(1.0 / 2.4)) - 0.055, step(0.0031308, linear));
  vec2 pixel = floor(uv * outputSize) + origin;
  float dither = speckle(pixel) - speckle(pixel + 57.0);
  gl_FragColor = vec4(encoded + dither / 255.0, 1.0);
}
