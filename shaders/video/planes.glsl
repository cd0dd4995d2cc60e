// A decoded frame's planes as R'G'B'. Chroma planes have a column of their other end on either side.

uniform sampler2D lumaPlane;
uniform sampler2D bluePlane;
uniform sampler2D redPlane;
uniform vec2 lumaSize;    // texels
uniform vec2 chromaSize;  // texels, without the columns that were added
uniform vec2 chromaScale; // chroma texels to a luma texel
uniform vec2 chromaShift; // chroma texels from a luma texel's place to its chroma's
uniform mat3 videoMatrix; // Y'CbCr to R'G'B', white 1
uniform vec3 videoZero;   // black and no colour, on the scale of videoSample
#ifdef GAMUT
uniform mat3 videoGamut;  // linear light to that of BT.709's primaries
#endif

#ifdef DEEP
// 16-bit words, the low byte first, in luminance and alpha.
float videoSample(sampler2D plane, vec2 at) {
  vec4 bytes = texture2D(plane, at);
  return (bytes.r * 255.0 + bytes.a * 65280.0) / DEEP;
}

// Bytes must not be mixed apart from each other, so this mixes the numbers.
float videoChroma(sampler2D plane, vec2 texel) {
  vec2 size = chromaSize + vec2(2.0, 0.0);
  vec2 low = vec2(0.5);
  vec2 high = size - 0.5;
  vec2 corner = floor(texel - 0.5) + 0.5;
  vec2 share = texel - corner;
  vec2 a = clamp(corner, low, high) / size;
  vec2 b = clamp(corner + 1.0, low, high) / size;
  return mix(
    mix(videoSample(plane, a), videoSample(plane, vec2(b.x, a.y)), share.x),
    mix(videoSample(plane, vec2(a.x, b.y)), videoSample(plane, b), share.x),
    share.y
  );
}
#else
float videoSample(sampler2D plane, vec2 at) {
  return texture2D(plane, at).r;
}

float videoChroma(sampler2D plane, vec2 texel) {
  return texture2D(plane, texel / (chromaSize + vec2(2.0, 0.0))).r;
}
#endif

// The encoded colour of one of the frame's texels; `texel` is its centre.
vec3 videoCode(vec2 texel) {
  vec2 chroma = texel * chromaScale + chromaShift + vec2(1.0, 0.0);
  vec3 code = videoMatrix * (vec3(
    videoSample(lumaPlane, texel / lumaSize),
    videoChroma(bluePlane, chroma),
    videoChroma(redPlane, chroma)
  ) - videoZero);
  code = clamp(code, 0.0, 1.0);
#ifdef GAMUT
  code = lightEncode(clamp(videoGamut * lightDecode(code), 0.0, 1.0));
#endif
  return code;
}
