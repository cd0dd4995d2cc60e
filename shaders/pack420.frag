// Packs an R'G'B' frame into planar 4:2:0 Y'CbCr: BT.709, limited range, chroma sited left (horizontally
// on the even luma columns, vertically between two rows), as H.264 assumes. Samples of 8 BITS go four to a
// texel; of 10, as 16-bit little-endian words, two. Row by row the target holds the luma rows, then two
// chroma rows in each row.

uniform sampler2D frame;
uniform vec2 frameSize;  // even; a multiple of 8 wide
uniform vec2 sourceSize; // the frame texture's; at most frameSize

const vec3 LUMA = vec3(0.2126, 0.7152, 0.0722);

#if BITS == 8
const float PER_TEXEL = 4.0;
const float SCALE = 1.0;
#else
const float PER_TEXEL = 2.0;
const float SCALE = 4.0;
#endif

vec3 colourAt(vec2 texel) {
  return texture2D(frame, texel / sourceSize).rgb;
}

float lumaSample(vec2 texel) {
  return SCALE * (16.0 + 219.0 * dot(LUMA, colourAt(texel)));
}

// A texel and the one below it.
vec3 pairAt(vec2 texel) {
  return colourAt(texel) + colourAt(texel + vec2(0.0, 1.0));
}

// `sum` is eight times the mean colour round a chroma sample: its own column counts twice.
float chromaSample(vec3 sum, bool blue) {
  vec3 colour = 0.125 * sum;
  float luma = dot(LUMA, colour);
  float difference = blue ? (colour.b - luma) / 1.8556 : (colour.r - luma) / 1.5748;
  return SCALE * (128.0 + 224.0 * difference);
}

// The samples of one texel, from the row's sample `first` on. Luma and chroma rows are drawn apart, for where
// they are chosen per pixel both are worked out. In software the frame is looked up at the middle of its texels,
// without mixing, which is several times cheaper; a graphics card mixes four texels in one lookup.
vec4 samplesFrom(float first) {
  float row = floor(gl_FragCoord.y);
#ifdef LUMA_ROWS
  vec2 at = vec2(first, row) + 0.5;
  return vec4(
    lumaSample(at),
    lumaSample(at + vec2(1.0, 0.0)),
    lumaSample(at + vec2(2.0, 0.0)),
    lumaSample(at + vec2(3.0, 0.0))
  );
#else
  float columns = frameSize.x / 2.0;
  float secondLine = step(columns, first);
  float line = (row - frameSize.y) * 2.0 + secondLine;
  bool blue = line < frameSize.y / 2.0;
  float chromaRow = blue ? line : line - frameSize.y / 2.0;
  vec2 at = vec2((first - secondLine * columns) * 2.0, chromaRow * 2.0);
  vec4 chroma;
#ifdef MIXED_LOOKUPS
  at.y += 1.0;
  for (int index = 0; index < int(PER_TEXEL); index++) {
    chroma[index] = chromaSample(4.0 * (colourAt(at) + colourAt(at + vec2(1.0, 0.0))), blue);
    at.x += 2.0;
  }
#else
  at += 0.5;
  vec3 before = pairAt(vec2(max(at.x - 1.0, 0.5), at.y));
  for (int index = 0; index < int(PER_TEXEL); index++) {
    vec3 after = pairAt(at + vec2(1.0, 0.0));
    chroma[index] = chromaSample(before + 2.0 * pairAt(at) + after, blue);
    before = after;
    at.x += 2.0;
  }
#endif
  return chroma;
#endif
}

#if BITS == 10
vec2 wordOf(float value) {
  float whole = floor(value + 0.5);
  float high = floor(whole / 256.0);
  return vec2(whole - high * 256.0, high) / 255.0;
}
#endif

void main() {
  vec4 samples = samplesFrom(floor(gl_FragCoord.x) * PER_TEXEL);
#if BITS == 8
  gl_FragColor = samples / 255.0;
#else
  gl_FragColor = vec4(wordOf(samples.x), wordOf(samples.y));
#endif
}
