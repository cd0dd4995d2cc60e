// A corner of the mesh that stands in for a smooth part of a frame: where on the master it looks, the
// level of detail there, and how much that is magnified. All else is interpolated.
attribute vec2 corner; // pixels from the frame's first column and row

varying vec2 masterUv;
varying vec2 masterLook; // level; magnified

// The next pixel's direction, on the side where the frame goes on.
vec3 rayFrom(vec2 at) {
  return viewRay(placeInView(at), 1.0).xyz;
}

void main() {
  vec3 ray = rayFrom(corner);
  vec2 inward = vec2(1.0) - 2.0 * step(0.5 * frameSize, corner);
  vec3 right = rayFrom(corner + vec2(inward.x, 0.0)) - ray;
  vec3 down = rayFrom(corner + vec2(0.0, inward.y)) - ray;
  float width = footprintWidth(footprintOf(right, down));
  masterUv = masterPlace(rotation * ray);
  masterLook = vec2(masterLevelFor(reachOf(width, float(SAMPLES))), masterMagnified(width));
  gl_Position = vec4(corner / frameSize * 2.0 - 1.0, 0.0, 1.0);
}
