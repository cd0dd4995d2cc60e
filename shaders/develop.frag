// Turns the light that one or several exposures have added up into a frame.

uniform sampler2D light;
uniform vec2 frameSize;
uniform float sharpness; // 0 for none; 1 strong

vec4 lightAt(vec2 pixel) {
  return texture2D(light, clamp(pixel, vec2(0.5), frameSize - 0.5) / frameSize);
}

void main() {
  vec2 at = gl_FragCoord.xy;
  vec4 sum = lightAt(at);
  if (sharpness > 0.0) {
    vec4 around = 0.25 * (lightAt(at + vec2(1.0, 0.0)) + lightAt(at - vec2(1.0, 0.0))
      + lightAt(at + vec2(0.0, 1.0)) + lightAt(at - vec2(0.0, 1.0)));
    // Held within what lies around, so that edges get no halo.
    vec3 sharper = sum.rgb + sharpness * (sum.rgb - around.rgb);
    sum.rgb = max(sharper, 0.0);
  }
  gl_FragColor = develop(sum);
}
