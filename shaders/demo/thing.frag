// Shades the built things (mill, houses, boats, balloons) where the land does not hide them.
precision highp float;
uniform vec3 eye;
uniform sampler2D grain, sight;
uniform vec4 sightWindow;
varying vec3 place, facing, paint;
varying float shine, depth, lit;
varying vec2 spot;

// Foliage: clumps and single leaves as noise on the surface, and a ragged outline.
vec2 leafPlace() {
  vec3 n = abs(normalize(facing));
  return n.y > 0.6 ? place.xz : n.x > n.z ? place.zy : place.xy;
}

vec3 leafNormal(vec3 normal, vec3 dir) {
  vec4 clumps = texture2D(grain, leafPlace() / 6.0);
  vec4 tips = texture2D(grain, leafPlace() / 2.3);
  float leaf = texture2D(grain, leafPlace() / 34.0).a;
  if (abs(dot(normal, dir)) < 0.8 * (leaf - 0.3)) discard;
  return normalize(normal + 1.3 * vec3(clumps.g - 0.5, 0.35 * (clumps.r - 0.5), clumps.b - 0.5) + 0.9 * vec3(tips.g - 0.5, 0.2, tips.b - 0.5));
}

float leafTone() {
  return 0.4 + 0.85 * texture2D(grain, leafPlace() / 4.1).r + 0.6 * (texture2D(grain, leafPlace() / 34.0).a - 0.25);
}

void main() {
  float land = texture2D(sight, sightWindow.xy + spot * sightWindow.zw).r;
  if (land >= 0.0 && land < depth - 0.25) discard;
  vec3 dir = normalize(place - eye);
  vec3 normal = normalize(facing);
  float leaves = step(shine, -0.5);
  if (leaves > 0.5) normal = leafNormal(normal, dir);
  if (dot(normal, dir) > 0.0) normal = -normal;
  float facingSun = dot(normal, sun);
  float through = max(-facingSun, 0.0) * clamp(shine, 0.0, 1.0) * 0.75 + leaves * (0.05 + 0.2 * pow(max(dot(dir, sun), 0.0), 2.0));
  float up = 0.5 + 0.5 * normal.y;
  vec3 ambient = mix(GROUND_LIGHT * 1.6, SKY_LIGHT, up);
  ambient += vec3(0.30, 0.17, 0.08) * (0.5 + 0.5 * dot(normal.xz, normalize(sun.xz)));
  vec3 albedo = pow(paint, vec3(2.2));
  float weave = texture2D(grain, vec2(place.x + place.z, place.y) / 3.1).r;
  albedo *= leaves > 0.5 ? leafTone() : 0.86 + 0.28 * weave * (1.0 - shine);
  vec3 colour = albedo * (SUN_LIGHT * lit * (max(facingSun, 0.0) * 0.85 + through) + ambient);
  // A sheen of the low sun at grazing angles.
  colour += SUN_LIGHT * 0.03 * pow(clamp(1.0 - abs(dot(normal, dir)), 0.0, 1.0), 3.0) * max(facingSun, 0.0) * lit * (1.0 - leaves);
  if (shine > 1.0) colour += albedo * vec3(3.2, 1.9, 0.8) * (shine - 1.0);
  gl_FragColor = vec4(throughAir(colour, dir, depth, place.y), 1.0);
}
