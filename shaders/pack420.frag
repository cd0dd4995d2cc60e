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

// `corner` is where the chroma sample's two columns and two rows meet on its left.
float chromaSample(vec2 corner, bool blue) {
  vec3 colour = 0.5 * (colourAt(corner) + colourAt(corner + vec2(1.0, 0.0)));
  float luma = dot(LUMA, colour);
  float difference = blue ? (colour.b - luma) / 1.8556 : (colour.r - luma) / 1.5748;
  return SCALE * (128.0 + 224.0 * difference);
}

// One of a row's samples, by its number along the row. Luma and chroma rows are drawn apart, for where
// they are chosen per pixel both are worked out.
float sampleAt(float column) {
  float row = floor(gl_FragCoord.y);
#ifdef LUMA_ROWS
  return lumaSample(vec2(column, row) + 0.5);
#else
  float columns = frameSize.x / 2.0;
  float secondLine = step(columns, column);
  float line = (row - frameSize.y) * 2.0 + secondLine;
  bool blue = line < frameSize.y / 2.0;
  float chromaRow = blue ? line : line - frameSize.y / 2.0;
  return chromaSample(vec2((column - secondLine * columns) * 2.0, chromaRow * 2.0 + 1.0), blue);
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
  float first = floor(gl_FragCoord.x) * PER_TEXEL;
#if BITS == 8
  gl_FragColor =
    vec4(sampleAt(first), sampleAt(first + 1.0), sampleAt(first + 2.0), sampleAt(first + 3.0)) / 255.0;
#else
  gl_FragColor = vec4(wordOf(sampleAt(first)), wordOf(sampleAt(first + 1.0)));
#endif
}
