// One texel of a level, `texel` its centre: the frame itself, or light averaged before.

#ifdef FROM_PLANES
vec3 sourceCode(vec2 texel) {
  return videoCode(texel);
}

vec3 sourceLight(vec2 texel) {
  return lightDecode(videoCode(texel));
}
#else
uniform sampler2D sourceTexture;
uniform vec2 sourceTextureSize; // texels

vec3 sourceLight(vec2 texel) {
  vec3 found = texture2D(sourceTexture, texel / sourceTextureSize).rgb;
#ifdef ENCODED
  return lightDecode(found);
#else
  return found;
#endif
}

vec3 sourceCode(vec2 texel) {
  return lightEncode(sourceLight(texel));
}
#endif
