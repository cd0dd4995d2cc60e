/** Seeded noise on the CPU: the same numbers on every machine and at every size. */

const SIZE = 256;
const MASK = SIZE - 1;
const [SLOPES_X, SLOPES_Z] = lattice(20260321);

/** A small seeded generator of numbers in [0, 1) (mulberry32). */
export function random(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), state | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** A number in [0, 1) that belongs to one integer cell and one purpose (`salt`). */
export function cellHash(x: number, z: number, salt: number): number {
  let h = Math.imul(x, 374761393) ^ Math.imul(z, 668265263) ^ Math.imul(salt, 2246822519);
  h = Math.imul(h ^ (h >>> 15), 2654435761);
  h = Math.imul(h ^ (h >>> 13), 3266489917);
  return ((h ^ (h >>> 16)) >>> 0) / 4294967296;
}

/** A random unit slope for each lattice point, scaled so that the noise fills about -1 to 1. */
function lattice(seed: number): [Float32Array, Float32Array] {
  const next = random(seed);
  const angles = Float32Array.from({ length: SIZE * SIZE }, () => next() * 2 * Math.PI);
  return [
    angles.map((angle) => 1.5 * Math.cos(angle)),
    angles.map((angle) => 1.5 * Math.sin(angle)),
  ];
}

/** Smooth gradient noise, about -1 to 1, one cell per unit. */
export function noise(x: number, z: number): number {
  const xi = Math.floor(x);
  const zi = Math.floor(z);
  const fx = x - xi;
  const fz = z - zi;
  const sx = fx * fx * fx * (fx * (fx * 6 - 15) + 10);
  const sz = fz * fz * fz * (fz * (fz * 6 - 15) + 10);
  const left = xi & MASK;
  const right = (xi + 1) & MASK;
  const near = (zi & MASK) * SIZE;
  const far = ((zi + 1) & MASK) * SIZE;
  const a = (SLOPES_X[near + left] as number) * fx + (SLOPES_Z[near + left] as number) * fz;
  const b = (SLOPES_X[near + right] as number) * (fx - 1) + (SLOPES_Z[near + right] as number) * fz;
  const c = (SLOPES_X[far + left] as number) * fx + (SLOPES_Z[far + left] as number) * (fz - 1);
  const d =
    (SLOPES_X[far + right] as number) * (fx - 1) + (SLOPES_Z[far + right] as number) * (fz - 1);
  const top = a + (b - a) * sx;
  return top + (c + (d - c) * sx - top) * sz;
}

/** Noise of several octaves, each turned so that no lattice direction shows; about -1 to 1. */
export function fractal(x: number, z: number, octaves: number): number {
  let sum = 0;
  let amplitude = 0.55;
  for (let octave = 0; octave < octaves; octave++) {
    sum += amplitude * noise(x, z);
    const turned = 1.6 * x - 1.2 * z + 17.3;
    z = 1.2 * x + 1.6 * z + 5.7;
    x = turned;
    amplitude *= 0.5;
  }
  return sum;
}

/** Ridged noise: sharp crests and rounded troughs, 0 to about 1; detail gathers on the crests. */
export function ridged(x: number, z: number, octaves: number): number {
  let sum = 0;
  let amplitude = 0.5;
  let weight = 1;
  for (let octave = 0; octave < octaves; octave++) {
    const crest = 1 - Math.abs(noise(x, z));
    const value = crest * crest * weight;
    sum += amplitude * value;
    weight = Math.min(1, Math.max(0, value * 1.8));
    const turned = 1.62 * x - 1.2 * z + 31.7;
    z = 1.2 * x + 1.62 * z - 8.9;
    x = turned;
    amplitude *= 0.5;
  }
  return sum;
}

export function smoothstep(from: number, to: number, x: number): number {
  const t = Math.min(1, Math.max(0, (x - from) / (to - from)));
  return t * t * (3 - 2 * t);
}
