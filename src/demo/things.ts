import { BALLOONS } from './balloon-plans.js';
import { balloon } from './balloons.js';
import { jetty, rowingBoat, sailingBoat } from './boats.js';
import { church, house } from './buildings.js';
import { leafyTree } from './leafy.js';
import { hayBales, sheep } from './meadow.js';
import { Mesh, middle, minus } from './mesh.js';
import { at, CAMERA_HEIGHT, CHURCH, HOUSES, MILL, ORCHARD, type Vec3 } from './place.js';
import { ground } from './terrain.js';
import { nearTrees } from './trees.js';
import { windmill } from './windmill.js';
import { fence, MEADOW_FENCE, orchardFence, picnic, well } from './yard.js';

/** A built thing, ready to draw: triangles small enough that straight edges stay right when bent. */
export interface Thing {
  /** Corners as `Mesh` lays them out. */
  readonly corners: Float32Array;
  readonly count: number;
  /** Radians: the middle's longitude, how far it reaches to each side, and its latitudes. */
  readonly longitude: number;
  readonly reach: number;
  readonly low: number;
  readonly high: number;
  /** Whether its shadow falls on the land around the camera. */
  readonly standing: boolean;
}

const EYE: Vec3 = [0, CAMERA_HEIGHT, 0];
const LONGEST_EDGE = 0.03;

export function makeThings(): Thing[] {
  const [x, z] = MILL;
  const mill = windmill([x, ground(x, z), z], -58, 1.6);
  const things = [
    thing(mill, [x, 60, z], true),
    thing(church([CHURCH[0], ground(...CHURCH), CHURCH[1]], 25), [CHURCH[0], 10, CHURCH[1]], true),
    thing(jetty(), middleOf(at(36, 48)), true),
    thing(rowingBoat(at(43, 54), 20, 0x2f6f7e), middleOf(at(43, 54)), true),
    thing(rowingBoat(at(31, 56), -48, 0xc4553d), middleOf(at(31, 56)), true),
    thing(rowingBoat(at(66, 128), 75, 0xe0b040), middleOf(at(66, 128)), true),
    thing(sailingBoat(at(57, 175), 30), middleOf(at(57, 175)), true),
    thing(sailingBoat(at(28, 300), -40), middleOf(at(28, 300)), false),
  ];
  things.push(
    thing(orchardFence(), middleOf(ORCHARD), true),
    thing(fence(MEADOW_FENCE), middleOf(at(-50, 32)), true),
    thing(sheep(at(-118, 38), 16, 5), middleOf(at(-118, 38)), true),
    thing(hayBales(at(-148, 46), 8, 9), middleOf(at(-148, 46)), true),
    thing(well(at(165, 13)), middleOf(at(165, 13)), true),
    thing(picnic(at(62, 17)), middleOf(at(62, 17)), true),
  );
  for (const plan of HOUSES) {
    const [hx, hz] = plan.place;
    things.push(thing(house(plan, ground(hx, hz)), [hx, 6, hz], true));
  }
  for (const tree of nearTrees()) {
    const foot = ground(tree.x, tree.z);
    things.push(thing(leafyTree(tree, foot), [tree.x, foot, tree.z], true, false));
  }
  for (const plan of BALLOONS) {
    const { mesh, centre } = balloon(plan);
    things.push(thing(mesh, centre, false));
  }
  return things;
}

const middleOf = ([x, z]: readonly [number, number]): Vec3 => [x, 0, z];

function thing(mesh: Mesh, centre: Vec3, standing: boolean, large = true): Thing {
  const corners = large ? refined(mesh.corners) : Float32Array.from(mesh.corners);
  const longitude = Math.atan2(centre[0], -centre[2]);
  let [reach, low, high] = [0, Math.PI / 2, -Math.PI / 2];
  for (let i = 0; i < corners.length; i += Mesh.STRIDE) {
    const [x, y, z] = [corners[i] as number, corners[i + 1] as number, corners[i + 2] as number];
    const turn = Math.atan2(x, -z) - longitude;
    reach = Math.max(reach, Math.abs(Math.atan2(Math.sin(turn), Math.cos(turn))));
    const latitude = Math.atan2(y - EYE[1], Math.hypot(x, z));
    low = Math.min(low, latitude);
    high = Math.max(high, latitude);
  }
  return { corners, count: corners.length / Mesh.STRIDE, longitude, reach, low, high, standing };
}

/** Halves triangles across their longest side until none looks longer than {@link LONGEST_EDGE}. */
function refined(source: readonly number[]): Float32Array {
  const S = Mesh.STRIDE;
  const result: number[] = [];
  const waiting: number[][][] = [];
  for (let i = 0; i < source.length; i += 3 * S) {
    waiting.push([0, 1, 2].map((k) => source.slice(i + k * S, i + (k + 1) * S)));
  }
  for (let triangle = waiting.pop(); triangle; triangle = waiting.pop()) {
    const [a, b, c] = triangle as [number[], number[], number[]];
    const sides = [looks(a, b), looks(b, c), looks(c, a)];
    const longest = Math.max(...sides);
    if (longest < LONGEST_EDGE) {
      result.push(...a, ...b, ...c);
    } else {
      const turn = sides.indexOf(longest);
      const [p, q, r] = [triangle[turn], triangle[(turn + 1) % 3], triangle[(turn + 2) % 3]] as [
        number[],
        number[],
        number[],
      ];
      const m = p.map((value, k) => (value + (q[k] as number)) / 2);
      waiting.push([p, m, r], [m, q, r]);
    }
  }
  return Float32Array.from(result);
}

function looks(p: readonly number[], q: readonly number[]): number {
  const [a, b] = [p.slice(0, 3) as Vec3, q.slice(0, 3) as Vec3];
  return Math.hypot(...minus(a, b)) / Math.hypot(...minus(middle(a, b), EYE));
}
