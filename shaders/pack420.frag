// Packs an R'G'B' frame into planar 4:2:0 Y'CbCr, four bytes a texel: BT.709, limited range, 8 bits,
// chroma sited left (horizontally on the even luma columns, vertically between two rows), as H.264
// assumes. The target is width/4 x height*3/2 texels: the luma rows, then two chroma rows in each row.

uniform sampler2D frame;
uniform vec2 frameSize;  // even; a multiple of 8 wide
uniform vec2 sourceSize; // the frame texture's; at most frameSize

const vec3 LUMA = vec3(0.2126, 0.7152, 0.0722);

vec3 colourAt(vec2 texel) {
  return texture2D(frame, texel / sourceSize).rgb;
}

float lumaByte(vec2 texel) {
  return (16.0 + 219.0 * dot(LUMA, colourAt(texel))) / 255.0;
}

// `corner` is where the chroma sample's two columns and two rows meet on its left.
float chromaByte(vec2 corner, bool blue) {
  vec3 colour = 0.5 * (colourAt(corner) + colourAt(corner + vec2(1.0, 0.0)));
  float luma = dot(LUMA, colour);
  float difference = blue ? (colour.b - luma) / 1.8556 : (colour.r - luma) / 1.5748;
  return (128.0 + 224.0 * difference) / 255.0;
}

void main() {
  vec2 texel = floor(gl_FragCoord.xy);
  if (texel.y < frameSize.y) {
    vec2 at = vec2(texel.x * 4.0, texel.y) + 0.5;
    gl_FragColor = vec4(
      lumaByte(at),
      lumaByte(at + vec2(1.0, 0.0)),
      lumaByte(at + vec2(2.0, 0.0)),
      lumaByte(at + vec2(3.0, 0.0))
    );
    return;
  }
  float columns = frameSize.x / 8.0;
  float secondLine = step(columns, texel.x);
  float line = (texel.y - frameSize.y) * 2.0 + secondLine;
  bool blue = line < frameSize.y / 2.0;
  float row = blue ? line : line - frameSize.y / 2.0;
  vec2 corner = vec2((texel.x - secondLine * columns) * 8.0, row * 2.0 + 1.0);
  gl_FragColor = vec4(
    chromaByte(corner, blue),
    chromaByte(corner + vec2(2.0, 0.0), blue),
    chromaByte(corner + vec2(4.0, 0.0), blue),
    chromaByte(corner + vec2(6.0, 0.0), blue)
  );
}
