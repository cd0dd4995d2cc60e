// The light of the sunrise, shared by sky, land and things. Directions are unit vectors, +y up.
uniform vec3 sun;

const vec3 SUN_LIGHT = vec3(5.9, 3.25, 1.50);
const vec3 SKY_LIGHT = vec3(0.37, 0.43, 0.63);
const vec3 GROUND_LIGHT = vec3(0.20, 0.17, 0.11);

// How warm the sky is towards a direction: 1 at the sun's side, 0 opposite.
float sunSide(vec3 dir) {
  return clamp(0.5 + 0.5 * dot(normalize(dir.xz + 1e-5), normalize(sun.xz)), 0.0, 1.0);
}

// The clear sky without the sun's disc.
vec3 airGlow(vec3 dir) {
  float up = max(dir.y, 0.0);
  float near = dot(dir, sun);
  float side = pow(sunSide(dir), 2.0) * (1.0 - smoothstep(0.4, 1.0, up));
  vec3 zenith = vec3(0.085, 0.150, 0.310);
  vec3 middle = mix(vec3(0.235, 0.320, 0.520), vec3(0.46, 0.45, 0.52), side);
  vec3 low = mix(vec3(0.66, 0.46, 0.50), vec3(1.25, 0.74, 0.40), side);
  vec3 rim = mix(vec3(0.44, 0.42, 0.54), vec3(1.75, 0.90, 0.33), side);
  vec3 sky = mix(middle, zenith, smoothstep(0.22, 0.98, up));
  sky = mix(low, sky, smoothstep(0.05, 0.46, up));
  sky = mix(rim, sky, smoothstep(-0.02, 0.15, up));
  float halo = max(near, 0.0);
  sky += vec3(1.0, 0.46, 0.14) * 0.50 * pow(halo, 7.0);
  sky += vec3(1.3, 0.70, 0.25) * 1.0 * pow(halo, 70.0);
  sky += vec3(1.6, 1.0, 0.45) * 2.6 * pow(halo, 700.0);
  return sky;
}

// What the air adds to and takes from a colour seen at `range` metres, at height y.
vec3 throughAir(vec3 colour, vec3 dir, float range, float y) {
  float thin = exp(-max(y, 0.0) / 900.0);
  float depth = range * mix(0.45, 1.0, thin);
  vec3 kept = exp(-depth * vec3(0.75, 1.0, 1.45) * 1.15e-4);
  vec3 flat_ = normalize(vec3(dir.x, 0.045, dir.z));
  vec3 haze = airGlow(flat_) * mix(vec3(0.62, 0.74, 0.95), vec3(0.95, 0.9, 0.85), sunSide(dir));
  return colour * kept + haze * (1.0 - kept);
}
