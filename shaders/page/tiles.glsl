// The page that common/master.glsl looks things up on, where there is no such texture: the same levels at
// the same places, put together from the tiles that have come so far. Twin of src/page/layout.ts.

uniform sampler2D tileCache; // tiles side by side, each with its gutter
uniform sampler2D tileTable; // for each tile of each level: the place in the cache (r, g) of what there is
                             // instead of it, and that one's level (b)
uniform vec2 tileGrid;       // tiles across and down level 0
uniform vec2 tileMaster;     // texels of level 0
uniform vec2 tilePage;       // texels of the page
uniform vec2 tileSlot;       // texels of a place in the cache
uniform vec2 tileCacheSize;  // texels of the cache
uniform vec2 tileTableSize;  // entries of the table; each level begins tileGrid.y below the one before

vec2 tileGridOf(float level) {
  return max(tileGrid / exp2(level), 1.0);
}

// Where a level's texels begin on the page; as masterLevel has it.
vec2 tileOrigin(float level) {
  if (level < 0.5) return vec2(MASTER_GUTTER);
  float top = MASTER_GUTTER
    + 0.5 * tileMaster.y * (2.0 - exp2(2.0 - level)) + 2.0 * MASTER_GUTTER * (level - 1.0);
  return vec2(tileMaster.x + 3.0 * MASTER_GUTTER, top);
}

// The level whose texels, or whose gutter, lie at a place of the page.
float tileLevelAt(vec2 texel) {
  if (texel.x < tileMaster.x + 2.0 * MASTER_GUTTER) return 0.0;
  float found = 1.0;
  for (float level = 2.0; level < MASTER_LEVELS; level += 1.0) {
    if (texel.y >= tileOrigin(level).y - MASTER_GUTTER) found = level;
  }
  return found;
}

vec3 masterPageColour(float page, vec2 at) {
  vec2 texel = at * tilePage;
  float level = tileLevelAt(texel);
  vec2 uv = (texel - tileOrigin(level)) * exp2(level) / tileMaster;
  // Past a pole the sphere goes on down the other side.
  if (uv.y < 0.0 || uv.y > 1.0) uv = vec2(uv.x + 0.5, uv.y < 0.0 ? -uv.y : 2.0 - uv.y);
  uv.x = fract(uv.x);
  vec2 grid = tileGridOf(level);
  vec2 entry = min(floor(uv * grid), grid - 1.0) + vec2(0.5, level * tileGrid.y + 0.5);
  vec3 there = floor(texture2D(tileTable, entry / tileTableSize).rgb * 255.0 + 0.5);
  vec2 gridThere = tileGridOf(there.b);
  vec2 within = uv * gridThere - min(floor(uv * gridThere), gridThere - 1.0);
  vec2 tile = tileMaster / exp2(there.b) / gridThere;
  return texture2D(tileCache, (there.rg * tileSlot + MASTER_GUTTER + within * tile) / tileCacheSize).rgb;
}
