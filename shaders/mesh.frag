// A smooth part of a frame: where it looks, and the level of detail, are interpolated between the corners of
// a mesh, since angles cost more than lookups. Otherwise as frame.frag, whose picture it shows.

varying vec2 masterUv;
varying vec2 masterLook; // level; magnified

void main() {
  MasterDetail detail = masterDetailAt(masterLook.x, masterLook.y);
  gl_FragColor = shownLight(vec4(steppedLight(masterUv, dFdx(masterUv), dFdy(masterUv), detail), 1.0));
}
