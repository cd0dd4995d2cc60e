// Looks the master up by direction and level of detail. The pages' layout is src/render/atlas.ts's.

uniform vec2 masterSize;  // texels of the whole master, level 0
uniform vec2 masterTile;  // texels of one tile, level 0
uniform vec2 masterTile1; // texels of one tile, level 1
uniform vec2 masterPage;  // texels of one page

const vec2 MASTER_TILES = vec2(MASTER_TILES_X, MASTER_TILES_Y);

// One level's place on a page, in shares of the page.
struct MasterLevel {
  vec2 origin; // of a tile's first texel
  vec2 tile;   // a tile's size
  vec2 size;   // the whole master's
};

// Two neighbouring levels and the share of the coarser one.
struct MasterDetail {
  MasterLevel finer;
  MasterLevel coarser;
  float share;
};

MasterLevel masterLevel(float level) {
  if (level < 0.5) {
    return MasterLevel(
      vec2(MASTER_GUTTER) / masterPage,
      masterTile / masterPage,
      masterSize / masterPage
    );
  }
  vec2 tile = masterTile1 * exp2(1.0 - level);
  float top = MASTER_GUTTER
    + masterTile1.y * (2.0 - exp2(2.0 - level)) + 2.0 * MASTER_GUTTER * (level - 1.0);
  vec2 origin = vec2(masterTile.x + 3.0 * MASTER_GUTTER, top);
  return MasterLevel(origin / masterPage, tile / masterPage, tile * MASTER_TILES / masterPage);
}

// What suits lookups that each stand for `footprint` radians. Once a pixel is enough.
MasterDetail masterDetail(float footprint) {
  float texels = footprint * masterSize.y * 0.31830988618;
  float level = clamp(log2(max(texels, 1e-9)), 0.0, MASTER_LEVELS - 1.0);
  float finer = floor(level);
  float coarser = min(finer + 1.0, MASTER_LEVELS - 1.0);
  return MasterDetail(masterLevel(finer), masterLevel(coarser), level - finer);
}

// u to the right, v down, both 0 to 1.
vec2 masterPlace(vec3 direction) {
  float longitude = angleAtan2(direction.x, -direction.z);
  float latitude = angleAtan2(direction.y, length(direction.xz));
  return vec2(0.5 + longitude * 0.15915494309, 0.5 - latitude * 0.31830988618);
}

vec3 masterColour(vec2 place, MasterLevel level) {
  vec2 at = place * level.size;
#if MASTER_PAGES == 1
  return masterPageColour(0.0, level.origin + at);
#else
  vec2 tile = min(floor(at / level.tile), MASTER_TILES - 1.0);
  return masterPageColour(tile.y * MASTER_TILES.x + tile.x, level.origin + at - tile * level.tile);
#endif
}

// Linear light arriving from `direction` (world, unit).
vec3 masterLight(vec3 direction, MasterDetail detail) {
  vec2 place = masterPlace(direction);
  vec3 finer = lightDecode(masterColour(place, detail.finer));
  vec3 coarser = lightDecode(masterColour(place, detail.coarser));
  return mix(finer, coarser, detail.share);
}
