// 16 bits a channel on two textures, as src/render/deep.ts lays them out.

// Codes, 0 to 1, of a texel's high bytes with red's low one, and of the low bytes of the others.
vec3 deepCode(vec4 high, vec3 low) {
  vec3 bits = floor(low * vec3(31.0, 63.0, 31.0) + 0.5);
  float upper = floor(bits.g * 0.125);
  vec3 bytes = vec3(high.a * 255.0, bits.r * 8.0 + upper, (bits.g - 8.0 * upper) * 32.0 + bits.b);
  return (high.rgb * 65280.0 + bytes) / 65535.0;
}

// The other way round.
vec4 deepHigh(vec3 code) {
  vec3 number = floor(code * 65535.0 + 0.5);
  vec3 upper = floor(number / 256.0);
  return vec4(upper, number.r - 256.0 * upper.r) / 255.0;
}

vec3 deepLow(vec3 code) {
  vec2 bytes = mod(floor(code.gb * 65535.0 + 0.5), 256.0);
  float red = floor(bytes.x / 8.0);
  float split = floor(bytes.y / 32.0);
  return vec3(red, (bytes.x - 8.0 * red) * 8.0 + split, bytes.y - 32.0 * split) / vec3(31.0, 63.0, 31.0);
}
