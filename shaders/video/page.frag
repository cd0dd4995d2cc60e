// Puts a level of one tile, its gutter too, on its page; or, with CALM, those of its rows that lie near a
// pole, averaged along themselves as src/render/calm.ts explains.

uniform vec2 shift;     // from a page's texel to the level's
uniform vec2 levelSize; // texels of the whole level
#ifdef CALM
uniform float cell;       // texels of the level in one of the source
uniform float calmRows;   // as halve.frag's `rows`; 0 where the source is the level itself
#endif

// Past a pole the rows come back, seen from the other side of the sphere.
vec2 onSphere(vec2 texel) {
  float row = texel.y < 0.0 ? -texel.y : min(texel.y, 2.0 * levelSize.y - texel.y);
  float turned = row == texel.y ? texel.x : texel.x + floor(levelSize.x / 2.0);
  return vec2(mod(turned, levelSize.x), clamp(row, 0.5, levelSize.y - 0.5));
}

#ifdef CALM
vec3 calmLight(vec2 texel) {
  float reach = min(levelSize.x, 0.5 / sin(3.14159265359 * texel.y / levelSize.y));
  float columns = levelSize.x / cell;
  float half_ = 0.5 * max(reach, 1.0) / cell;
  float middle = texel.x / cell;
  float from = middle - half_;
  float to = middle + half_;
  float row = calmRows == 0.0 || texel.y < calmRows ? texel.y : texel.y - levelSize.y + 2.0 * calmRows;
  float first = floor(from);
  vec3 light = vec3(0.0);
  for (int tap = 0; tap < TAPS; tap++) {
    float column = first + float(tap);
    if (column >= to) break;
    float weight = min(column + 1.0, to) - max(column, from);
    light += weight * sourceLight(vec2(mod(column, columns) + 0.5, row));
  }
  return light / (to - from);
}
#endif

void main() {
  vec2 texel = onSphere(gl_FragCoord.xy + shift);
#ifdef CALM
  vec3 code = lightEncode(calmLight(texel));
#else
  vec3 code = sourceCode(texel);
#endif
#if defined(HIGH)
  gl_FragColor = deepHigh(code);
#elif defined(LOW)
  gl_FragColor = vec4(deepLow(code), 1.0);
#else
  gl_FragColor = vec4(code, 1.0);
#endif
}
