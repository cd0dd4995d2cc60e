// What a program leaves in its target: a frame, or light added to that of earlier exposures. `frame` is linear
// light, multiplied by its alpha.
vec4 shownLight(vec4 frame) {
#ifdef EXPOSE
  return texture2D(earlierLight, gl_FragCoord.xy / frameSize) + frame * (exposure * sourceShare);
#else
  return develop(frame);
#endif
}
