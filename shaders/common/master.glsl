// Looks the master up by direction and level of detail. The pages' layout is src/render/atlas.ts's.

uniform vec2 masterTile;  // texels of one tile, level 0
uniform vec2 masterTile1; // texels of one tile, level 1
uniform vec2 masterPage;  // texels of one page
uniform vec2 masterTexel; // one of them, in shares of the page
#ifdef MASTER_ONE_TILE
uniform vec2 masterOnlyTile; // column and row of the tile on page 0
#endif
#ifdef MASTER_PART
// Of a master of which only a part is there: the tile's first texel at levels 0 and 1, and all of level 1.
uniform vec2 masterFirst;
uniform vec2 masterFirst1;
uniform vec2 masterWhole1;
#endif

#if defined(MASTER_MINIFIED) && !defined(MASTER_NEAREST_LEVEL)
#define MASTER_TWO_LEVELS
#endif

const vec2 MASTER_TILES = vec2(MASTER_TILES_X, MASTER_TILES_Y);

// One level's place on a page, in shares of the page.
struct MasterLevel {
  vec2 origin; // of a tile's first texel
  vec2 tile;   // a tile's size
  vec2 size;   // the whole master's
#ifdef MASTER_PART
  vec2 first;  // the tile's, in the whole master
#endif
};

// Two neighbouring levels and the share of the coarser one; and, where the master is magnified, the share
// of a lookup that keeps its texels from showing.
struct MasterDetail {
  MasterLevel finer;
  MasterLevel coarser;
  float share;
  float magnified;
};

MasterLevel masterFullLevel() {
  return MasterLevel(
    vec2(MASTER_GUTTER) * masterTexel,
    masterTile * masterTexel,
    masterSize * masterTexel
#ifdef MASTER_PART
    , masterFirst * masterTexel
#endif
  );
}

// `share` of level 1's size: 2^(1 - level).
MasterLevel masterSmallLevel(float level, float share) {
  vec2 tile = masterTile1 * share;
  float top = MASTER_GUTTER
    + masterTile1.y * (2.0 - 2.0 * share) + 2.0 * MASTER_GUTTER * (level - 1.0);
  vec2 origin = vec2(masterTile.x + 3.0 * MASTER_GUTTER, top);
  tile *= masterTexel;
#ifdef MASTER_PART
  vec2 scale = share * masterTexel;
  return MasterLevel(origin * masterTexel, tile, masterWhole1 * scale, masterFirst1 * scale);
#else
  return MasterLevel(origin * masterTexel, tile, tile * MASTER_TILES);
#endif
}

// A place of the whole master as one of what there is of it, in shares of the page.
vec2 masterPlaceAt(vec2 uv, MasterLevel level) {
  vec2 place = uv * level.size;
#ifdef MASTER_PART
  place -= level.first;
  // What there is may go on beyond the seam.
  if (place.x < 0.0) place.x += level.size.x;
#endif
  return place;
}

MasterLevel masterLevel(float level, float share) {
  if (level < 0.5) return masterFullLevel();
  return masterSmallLevel(level, share);
}

// What suits lookups at `level`, of a pixel that is `magnified`. Once a pixel is enough.
MasterDetail masterDetailAt(float level, float magnified) {
#if !defined(MASTER_MINIFIED)
  MasterLevel full = masterFullLevel();
  return MasterDetail(full, full, 0.0, magnified);
#elif defined(MASTER_NEAREST_LEVEL)
  float rounded = floor(level + 0.5);
  MasterLevel nearest = masterLevel(rounded, exp2(1.0 - rounded));
  return MasterDetail(nearest, nearest, 0.0, magnified);
#else
  float whole = floor(level);
  float share = exp2(-whole);
  // After the coarsest there is none, but then none of it is taken.
  MasterLevel coarser = masterSmallLevel(whole + 1.0, share);
  return MasterDetail(masterLevel(whole, 2.0 * share), coarser, level - whole, magnified);
#endif
}

// The same for lookups that each stand for `reach` radians, in a pixel of `footprint` radians.
MasterDetail masterDetail(float footprint, float reach) {
  return masterDetailAt(masterLevelFor(reach), masterMagnified(footprint));
}

// Encoded colour at a place on the page of the tile `tile`, given in shares of the page.
vec3 masterAt(vec2 place, vec2 tile, MasterLevel level) {
  return masterPageColour(tile.y * MASTER_TILES.x + tile.x, level.origin + place - tile * level.tile);
}

vec2 masterTileOf(vec2 place, MasterLevel level) {
#if defined(MASTER_ONE_TILE)
  return masterOnlyTile;
#elif MASTER_PAGES == 1
  return vec2(0.0);
#else
  return min(floor(place / level.tile), MASTER_TILES - 1.0);
#endif
}

#ifdef MASTER_EXACT
// `place` in shares of a page. Bilinear, in linear light and in full precision: what the hardware does between
// texels is neither.
vec3 masterLevelLightAt(vec2 place, MasterLevel level) {
  vec2 tile = masterTileOf(place, level);
  vec2 texel = place * masterPage - 0.5;
  vec2 corner = (floor(texel) + 0.5) * masterTexel;
  vec2 share = fract(texel);
  vec2 next = masterTexel;
  vec3 a = lightDecode(masterAt(corner, tile, level));
  vec3 b = lightDecode(masterAt(corner + vec2(next.x, 0.0), tile, level));
  vec3 c = lightDecode(masterAt(corner + vec2(0.0, next.y), tile, level));
  vec3 d = lightDecode(masterAt(corner + next, tile, level));
  return mix(mix(a, b, share.x), mix(c, d, share.x), share.y);
}
#else
vec3 masterLevelColourAt(vec2 place, MasterLevel level) {
  return masterAt(place, masterTileOf(place, level), level);
}

vec3 masterLevelLightAt(vec2 place, MasterLevel level) {
  return lightDecode(masterLevelColourAt(place, level));
}
#endif

#ifdef MASTER_MAGNIFIED
// Catmull-Rom's weights for the four texels round a place `t` of the way between the middle two
// (Catmull, Rom, "A class of local interpolating splines", 1974).
vec4 masterCubic(float t) {
  float t2 = t * t;
  float t3 = t2 * t;
  return vec4(
    -0.5 * t3 + t2 - 0.5 * t,
    1.5 * t3 - 2.5 * t2 + 1.0,
    -1.5 * t3 + 2.0 * t2 + 0.5 * t,
    0.5 * t3 - 0.5 * t2
  );
}

// Where to look along one side, in texels from the second of the four, and with which weights. The
// hardware takes the mean of the middle two in one lookup.
struct MasterCubicSide {
  vec3 at;
  vec3 weight;
};

MasterCubicSide masterCubicSide(float t) {
  vec4 weights = masterCubic(t);
  float middle = weights.y + weights.z;
  return MasterCubicSide(
    vec3(-1.0, weights.z / middle, 2.0),
    vec3(weights.x, middle, weights.w)
  );
}

vec3 masterRow(vec2 corner, float row, vec4 weights, vec2 tile, MasterLevel level) {
  vec2 at = corner + vec2(0.0, row * masterTexel.y);
  float next = masterTexel.x;
  return weights.x * masterAt(at - vec2(next, 0.0), tile, level)
    + weights.y * masterAt(at, tile, level)
    + weights.z * masterAt(at + vec2(next, 0.0), tile, level)
    + weights.w * masterAt(at + vec2(2.0 * next, 0.0), tile, level);
}

vec3 masterRowOfThree(vec2 corner, float row, MasterCubicSide side, vec2 tile, MasterLevel level) {
  vec2 at = corner + vec2(0.0, row * masterTexel.y);
  vec3 columns = side.at * masterTexel.x;
  return side.weight.x * masterAt(at + vec2(columns.x, 0.0), tile, level)
    + side.weight.y * masterAt(at + vec2(columns.y, 0.0), tile, level)
    + side.weight.z * masterAt(at + vec2(columns.z, 0.0), tile, level);
}

// Bicubic over 4 x 4 texels of level 0, on encoded values: in linear light its overshoots show as dark
// fringes.
vec3 masterMagnifiedLight(vec2 uv) {
  MasterLevel level = masterFullLevel();
  vec2 place = masterPlaceAt(uv, level);
  vec2 tile = masterTileOf(place, level);
  vec2 texel = place * masterPage - 0.5;
  vec2 corner = (floor(texel) + 0.5) * masterTexel;
  vec2 t = fract(texel);
#ifdef MASTER_EXACT
  vec4 across = masterCubic(t.x);
  vec4 down = masterCubic(t.y);
  vec3 colour = down.x * masterRow(corner, -1.0, across, tile, level)
    + down.y * masterRow(corner, 0.0, across, tile, level)
    + down.z * masterRow(corner, 1.0, across, tile, level)
    + down.w * masterRow(corner, 2.0, across, tile, level);
#else
  MasterCubicSide across = masterCubicSide(t.x);
  MasterCubicSide down = masterCubicSide(t.y);
  vec3 colour = down.weight.x * masterRowOfThree(corner, down.at.x, across, tile, level)
    + down.weight.y * masterRowOfThree(corner, down.at.y, across, tile, level)
    + down.weight.z * masterRowOfThree(corner, down.at.z, across, tile, level);
#endif
  return lightDecode(clamp(colour, 0.0, 1.0));
}
#endif

// Linear light from one place at both levels, not counting what magnification asks for. Levels, which are nearly alike
// where they meet, are mixed as the hardware mixes texels: one decoding serves both.
vec3 masterLightBetween(vec2 finer, vec2 coarser, MasterDetail detail) {
#if !defined(MASTER_TWO_LEVELS)
  return masterLevelLightAt(finer, detail.finer);
#elif defined(MASTER_EXACT)
  vec3 light = masterLevelLightAt(finer, detail.finer);
  return mix(light, masterLevelLightAt(coarser, detail.coarser), detail.share);
#else
  vec3 colour = masterLevelColourAt(finer, detail.finer);
  return lightDecode(mix(colour, masterLevelColourAt(coarser, detail.coarser), detail.share));
#endif
}

// The same arriving from `direction` (world, unit).
vec3 masterLight(vec3 direction, MasterDetail detail) {
  vec2 uv = masterPlace(direction);
  vec2 finer = masterPlaceAt(uv, detail.finer);
  return masterLightBetween(finer, masterPlaceAt(uv, detail.coarser), detail);
}
