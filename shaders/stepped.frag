// A smooth part of a frame, wholly within the picture: rays are stepped from the pixel's middle, without asking
// whether they may be. Otherwise as frame.frag, whose picture it shows.

void main() {
  vec3 ray = viewRay(placeInView(gl_FragCoord.xy), 1.0).xyz;
  MasterDetail detail = footprintDetail(footprintOf(dFdx(ray), dFdy(ray)), vec2(SAMPLES));
  vec2 uv = masterPlace(rotation * ray);
  gl_FragColor = shownLight(vec4(steppedLight(uv, dFdx(uv), dFdy(uv), detail), 1.0));
}
