// Shades what each ray of a tile hits: land, lake or sky. Linear light out.
precision highp float;
varying vec2 uv;
uniform vec3 eye;
uniform sampler2D grain, sight, sky, mirror;
uniform vec4 sightWindow;
uniform sampler2D cover0, cover1, cover2, cover3, light0, light1, light2, light3;
uniform vec4 halves;
uniform float mirrored;

void readLand(vec2 p, out vec4 cover, out vec4 light, out float texel) {
  float reach = max(abs(p.x), abs(p.y)) / 0.97;
  if (reach < halves.x) {
    vec2 at = p / (2.0 * halves.x) + 0.5;
    cover = texture2D(cover0, at); light = texture2D(light0, at); texel = 0.0;
  } else if (reach < halves.y) {
    vec2 at = p / (2.0 * halves.y) + 0.5;
    cover = texture2D(cover1, at); light = texture2D(light1, at); texel = 1.0;
  } else if (reach < halves.z) {
    vec2 at = p / (2.0 * halves.z) + 0.5;
    cover = texture2D(cover2, at); light = texture2D(light2, at); texel = 2.0;
  } else {
    vec2 at = p / (2.0 * halves.w) + 0.5;
    cover = texture2D(cover3, at); light = texture2D(light3, at); texel = 3.0;
  }
}

vec3 landLight(vec3 albedo, vec3 normal, float open, float sunlit, vec3 dir) {
  float facing = max(dot(normal, sun), 0.0);
  // Grass and leaves also glow when the sun shines through them from behind.
  float through = 0.16 * pow(max(dot(dir, sun), 0.0), 2.0) + 0.035;
  float up = 0.5 + 0.5 * normal.y;
  vec3 ambient = mix(GROUND_LIGHT, SKY_LIGHT, up) * open;
  float side = 0.5 + 0.5 * dot(normal.xz, normalize(sun.xz));
  ambient += vec3(0.30, 0.17, 0.08) * side * open;
  return albedo * (SUN_LIGHT * sunlit * (facing + through) + ambient);
}

vec3 lakeLight(vec3 pos, vec3 dir, float range, float depth, vec3 bed, float sunlit) {
  vec2 p = pos.xz;
  vec2 a = texture2D(grain, p / 61.0).gb - 0.5;
  vec2 b = texture2D(grain, p.yx / 17.0 + 0.4).bg - 0.5;
  vec2 c = texture2D(grain, p / 5.3 + 0.7).gb - 0.5;
  float breeze = 0.35 + 0.9 * smoothstep(0.42, 0.66, texture2D(grain, p / 760.0).r);
  vec2 slope = (a * 0.045 + b * 0.05 + c * 0.045) * breeze;
  vec3 normal = normalize(vec3(slope.x, 1.0, slope.y));
  float cosine = max(-dot(dir, normal), 0.0);
  float fresnel = 0.02 + 0.98 * pow(clamp(1.0 - cosine, 0.0, 1.0), 5.0);
  vec3 bounced = reflect(dir, normal);
  bounced.y = abs(bounced.y);
  float rough = (0.006 + 0.022 * breeze) * smoothstep(40.0, 600.0, range) + 0.004;
  vec3 reflection = vec3(0.0);
  for (int i = 0; i < 3; i++) {
    vec3 ray = normalize(bounced + vec3(0.0, rough * (float(i) - 0.6), 0.0));
    reflection += texture2D(mirror, vec2(atan(ray.x, -ray.z) / 6.2831853 + 0.5, asin(clamp(ray.y, 0.0, 1.0)) / 1.5707963)).rgb;
  }
  reflection /= 3.0;
  vec3 body = vec3(0.012, 0.075, 0.085) * (0.6 + 0.8 * sunlit);
  vec3 clear = exp(-depth * vec3(0.75, 0.30, 0.28) * 1.5 / max(cosine, 0.35));
  vec3 below = mix(body, bed * (SKY_LIGHT + SUN_LIGHT * 0.17 * sunlit), clear);

  // Glitter: how many facets are tilted just so that they show the sun.
  vec3 half_ = normalize(sun - dir);
  vec2 need = -half_.xz / half_.y + slope * -1.6;
  float spread = 0.0042 * (0.35 + breeze);
  float facets = exp(-dot(need, need) / (2.0 * spread)) * 0.05 / spread;
  float sparkle = texture2D(grain, p / 75.0).a * texture2D(grain, p.yx / 230.0 + 0.3).a * 4.0;
  sparkle = mix(sparkle * sparkle * sparkle * 0.6, 1.0, smoothstep(500.0, 1800.0, range) * 0.65);
  vec3 glitter = SUN_LIGHT * facets * sparkle * (0.05 + fresnel) * sunlit * 0.62;
  return mix(below, reflection, fresnel) + glitter;
}

void main() {
  vec3 dir = tileRay(uv);
  float range = texture2D(sight, sightWindow.xy + uv * sightWindow.zw).r;
  if (range < 0.0) {
    gl_FragColor = vec4(texture2D(sky, skyPlace(dir)).rgb, 1.0);
    float off = acos(clamp(dot(dir, sun), -1.0, 1.0));
    gl_FragColor.rgb += vec3(30.0, 21.0, 11.0) * smoothstep(0.0102, 0.0088, off) * (1.0 - mirrored);
    return;
  }
  vec3 pos = eye + dir * range;
  vec4 cover, light;
  float coarse;
  readLand(pos.xz, cover, light, coarse);
  vec3 albedo = pow(cover.rgb, vec3(2.2));
  vec2 tilt = light.xy * 2.0 - 1.00392;
  vec3 normal = normalize(vec3(tilt.x, sqrt(max(0.02, 1.0 - dot(tilt, tilt))), tilt.y));
  vec3 colour;
  if (cover.a > 0.0 && pos.y < 1.0) {
    colour = lakeLight(pos, dir, range, cover.a * 10.0, albedo, light.a);
    float wash = texture2D(grain, pos.xz / 7.0).r + 0.35 * texture2D(grain, pos.xz / 31.0).a;
    colour += vec3(0.30, 0.27, 0.24) * smoothstep(0.035, 0.008, abs(cover.a - 0.016)) * smoothstep(0.55, 0.85, wash);
  } else {
    // Fine grain that follows the surface also where it is steep.
    float steep = smoothstep(0.62, 0.35, normal.y);
    vec2 side = abs(normal.x) > abs(normal.z) ? pos.zy : pos.xy;
    vec2 q = mix(pos.xz, side, step(0.5, steep));
    float scale = coarse < 0.5 ? 5.0 : coarse < 1.5 ? 13.0 : coarse < 2.5 ? 60.0 : 420.0;
    vec4 fine = texture2D(grain, q / scale);
    // Speckle cells are 1/256 of its tile: some 8 cm close by, so as to stay near the pixel's size.
    vec4 finer = texture2D(grain, q.yx / (scale * 4.0));
    float rough = 1.0 + 1.6 * steep * step(coarse, 1.5);
    albedo *= max(0.2, 1.0 + rough * (0.5 * (fine.r - 0.5) + 0.5 * (finer.a - 0.5)));
    float bumpy = coarse > 2.5 ? 0.5 : 0.22 + 0.9 * steep * step(coarse, 1.5);
    normal = normalize(normal + vec3(fine.g - 0.5, 0.0, fine.b - 0.5) * bumpy);
    colour = landLight(albedo, normal, light.b, light.a, dir);
  }
  colour = throughAir(colour, dir, range, pos.y);

  // Morning mist in the low ground, thicker over the far water.
  float patch_ = texture2D(grain, pos.xz / 1500.0).r * 0.65 + texture2D(grain, pos.xz / 390.0 + 0.2).r * 0.35;
  float low = exp(-max(pos.y - 2.0, 0.0) / 13.0) * smoothstep(140.0, 900.0, range);
  float mist = low * smoothstep(0.40, 0.68, patch_) * 0.62;
  vec3 mistLight = mix(vec3(0.52, 0.54, 0.64), vec3(1.35, 0.92, 0.58), pow(sunSide(dir), 2.5));
  colour = mix(colour, mistLight, mist * (1.0 - mirrored));
  gl_FragColor = vec4(colour, 1.0);
}
