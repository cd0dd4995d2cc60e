// What a frame's pixels see: shared by what works it out for each and what interpolates it.

// Where in the view a place of the frame lies: -1 to 1, +y up; the frame's row 0 is its top.
vec2 placeInView(vec2 frame) {
  vec2 at = frame / frameSize * 2.0 - 1.0;
  return vec2(at.x, -at.y);
}

// How far a pixel's direction turns along its two sides, and the angle's square that it covers: radians.
struct Footprint {
  vec2 squares; // of the sides
  float area;
};

// Of a direction that turns so far from one pixel to the next on its right and below.
Footprint footprintOf(vec3 right, vec3 down) {
  vec2 squares = vec2(dot(right, right), dot(down, down));
  float along = dot(right, down);
  return Footprint(squares, sqrt(max(squares.x * squares.y - along * along, 0.0)));
}

vec2 footprintSides(Footprint footprint) {
  return sqrt(footprint.squares);
}

// The mean of the two sides, or half the wider one where the pixel is drawn out.
float footprintWidth(Footprint footprint) {
  return sqrt(max(footprint.area, 0.25 * max(footprint.squares.x, footprint.squares.y)));
}

#if SAMPLES != 0
// Lookups reach a little less far than the rays lie apart: they blur by themselves. Measured against the
// reference in tests/render/frame.test.ts.
const float REACH = SAMPLES == 1 ? 1.0 : 0.8;

// Radians that each lookup stands for in a pixel `width` radians wide.
float reachOf(float width, float rays) {
  return width * REACH * sqrt(exposure) / rays;
}
#endif
