// Draws the sky once, as a disc of linear light that later passes read.
precision highp float;
varying vec2 uv;
uniform sampler2D grain;

const float CLOUD_BASE = 1350.0;
const float CLOUD_DEPTH = 520.0;
const int STEPS = 32;

// Cloud thickness 0..1 at a place in the slab (h: 0 base, 1 top).
float cloud(vec2 p, float h, float overhead) {
  vec2 home = p;
  p += 900.0 * (texture2D(grain, p / 21000.0 + 0.6).gb - 0.5);
  float cover = texture2D(grain, p / 15000.0).r * 0.62 + texture2D(grain, p.yx / 5300.0 + 0.37).r * 0.38;
  float most = (cover - 0.545) * 3.1 - overhead;
  if (most < -0.7) return 0.0;
  float puff = texture2D(grain, home / 1900.0 + 0.11 + h * vec2(0.30, 0.22), 1.0).r * 0.6 + texture2D(grain, home.yx / 720.0 + h * vec2(0.52, -0.38), 2.0).r * 0.34
             + texture2D(grain, home / 260.0 + h * vec2(-0.8, 0.9), 3.0).r * 0.17;
  float body = most + (puff - 0.56) * 1.5;
  float shape = smoothstep(0.0, 0.12, h) * (1.0 - h * h);
  return clamp(body - (1.0 - shape) * 0.75, 0.0, 1.0);
}

void main() {
  vec3 dir = skyRay(uv);
  vec3 colour = airGlow(dir);
  if (dir.y < 0.012) {
    gl_FragColor = vec4(colour, 1.0);
    return;
  }
  float fade = smoothstep(0.02, 0.16, dir.y);

  // High streaks of ice cloud.
  vec2 high = dir.xz / (dir.y + 0.09) * 7200.0 - vec2(0.0, 1100.0);
  vec2 combed = vec2(high.x * 0.83 + high.y * 0.56, (high.y * 0.83 - high.x * 0.56) * 2.9);
  combed += 5200.0 * (texture2D(grain, high / 52000.0).rr - 0.5);
  float streak = texture2D(grain, combed / 47000.0).r * 0.55 + texture2D(grain, combed / 15000.0).r * 0.3
               + texture2D(grain, combed / 4700.0).r * 0.15;
  float ice = smoothstep(0.5, 0.78, streak) * fade * 0.62;
  vec3 iceLight = mix(vec3(0.70, 0.56, 0.60), vec3(1.75, 1.08, 0.62), pow(sunSide(dir), 1.6) * (1.0 - dir.y * 0.7));
  iceLight = mix(iceLight, vec3(0.98, 0.80, 0.76), smoothstep(0.35, 0.9, dir.y));
  colour = mix(colour, iceLight, ice);

  // The low clouds, from far to near so that each step covers what is behind it.
  // Fewer clouds overhead, and a gap where the sun stands.
  float overhead = 0.55 * smoothstep(0.45, 0.9, dir.y) + 0.5 * pow(max(dot(dir, sun), 0.0), 60.0);
  float bend = 1.0 / (dir.y + 0.035);
  vec3 seen = vec3(0.0);
  float clear = 1.0;
  float jitter = texture2D(grain, gl_FragCoord.xy / 1024.0 * 4.37).a;
  float toSun = dot(dir, sun);
  float forward = 0.55 + 1.5 * pow(max(toSun, 0.0), 10.0);
  for (int i = 0; i < STEPS; i++) {
    float h = (float(i) + jitter) / float(STEPS);
    vec2 p = dir.xz * bend * (CLOUD_BASE + CLOUD_DEPTH * h);
    float thick = cloud(p, h, overhead);
    if (thick > 0.0) {
      vec2 lean = sun.xz * 210.0;
      float shade = cloud(p + lean, h + 0.08, overhead) + cloud(p + lean * 2.4, h + 0.17, overhead) * 0.9;
      float lit = exp(-shade * 2.3);
      vec3 warm = mix(vec3(2.05, 1.18, 0.80), vec3(2.5, 1.28, 0.55), sunSide(dir));
      vec3 light = warm * lit * forward * mix(1.25, 0.9, h) + mix(vec3(0.36, 0.31, 0.41), vec3(0.42, 0.42, 0.54), h);
      float stop = 1.0 - exp(-thick * 12.0 / float(STEPS) * 2.4);
      seen += clear * stop * light;
      clear *= 1.0 - stop;
      if (clear < 0.02) break;
    }
  }
  vec3 covered = colour * clear + seen;
  colour = mix(colour, covered, fade * smoothstep(0.015, 0.1, dir.y));
  gl_FragColor = vec4(colour, 1.0);
}
