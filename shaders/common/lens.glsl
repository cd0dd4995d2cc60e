// Every projection's function returns its ray and, in w, how far the point lies within the picture's
// edge: in plane units, negative outside. ENDLESS where the picture has no edge.
const float ENDLESS = 1e9;

// The ray, with w the share of a `span`-sized square of the plane that the picture covers.
vec4 lensCoverage(vec4 ray, float span) {
  return vec4(ray.xyz, clamp(ray.w / span + 0.5, 0.0, 1.0));
}
