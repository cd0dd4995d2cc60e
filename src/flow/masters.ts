import type { MasterTexture } from '../render/masterTexture.js';
import type { PrepareOptions } from '../render/prepare.js';
import { seenTogether } from '../render/seen.js';
import type { Scene } from '../scene/types.js';
import { widthsForDraft } from './exposures.js';
import { fileStamp } from './fileStamp.js';
import type { Job } from './jobs.js';
import type { Reading } from './studio.js';

/** A master's file, and how it is to be read. */
export interface MasterRead {
  readonly file: string;
  /** A file that was written anew is another master. */
  readonly stamp: string;
  /** Of a video: whose it is, since two shots show different frames of it at once. */
  readonly shot?: number;
  readonly options: Pick<PrepareOptions, 'keepDepth' | 'background' | 'maxWidth' | 'seen'>;
}

/** The reading that each shot needs; shots with the same one can share it. */
export function readsOf(
  job: Job,
  { keepDepth, videos, whole = false, seen }: Reading,
): readonly MasterRead[] {
  const { shots } = job.scene;
  const reads = shots.map((scene, shot): MasterRead => {
    const { master: file } = scene;
    const read = { file, stamp: fileStamp(file) };
    return videos.has(file)
      ? { ...read, shot, options: { keepDepth } }
      : { ...read, options: { keepDepth, ...backgroundOf(scene) } };
  });
  if (whole) return reads;
  const widths = job.quality === 'draft' ? widthsForDraft(job) : undefined;
  return reads.map((read): MasterRead => {
    const sharing = <T>(values: readonly T[]) =>
      values.filter((_, index) => keyOf(reads[index]!) === keyOf(read));
    return {
      ...read,
      options: {
        ...read.options,
        ...(widths && { maxWidth: Math.max(...sharing(widths)) }),
        ...(seen && !videos.has(read.file) && { seen: seenTogether(sharing(seen)) }),
      },
    };
  });
}

function backgroundOf({ background }: Scene): Pick<PrepareOptions, 'background'> {
  if (background.kind !== 'colour') return {};
  const [r, g, b] = background.colour;
  return { background: [r, g, b] };
}

const keyOf = (read: MasterRead): string => JSON.stringify(read);

/** On the GPU at any time: as many as a transition mixes. */
const MOST_KEPT = 2;

/**
 * Masters on the GPU, read when they are first needed and kept as long as they may be needed again
 * and no other needs the room.
 */
export class Masters {
  readonly #kept = new Map<string, MasterTexture>();

  /**
   * @param needed at most two; textures handed out earlier may go when they are not among them
   * @param later what will be needed after this, in that order
   */
  async take(
    needed: readonly MasterRead[],
    later: readonly MasterRead[],
    load: (read: MasterRead) => Promise<MasterTexture>,
  ): Promise<MasterTexture[]> {
    const keys = needed.map(keyOf);
    const missing = new Set(keys.filter((key) => !this.#kept.has(key)));
    this.#makeRoom(missing.size, keys, later.map(keyOf));
    for (const read of needed) {
      if (!this.#kept.has(keyOf(read))) this.#kept.set(keyOf(read), await load(read));
    }
    return keys.map((key) => this.#kept.get(key)!);
  }

  /** Lets go of all. */
  close(): void {
    for (const master of this.#kept.values()) master.destroy();
    this.#kept.clear();
  }

  /** Lets go of what is needed last, or never. */
  #makeRoom(more: number, needed: readonly string[], later: readonly string[]): void {
    const nextUse = (key: string) => {
      const index = later.indexOf(key);
      return index < 0 ? Number.POSITIVE_INFINITY : index;
    };
    const idle = [...this.#kept.keys()].filter((key) => !needed.includes(key));
    idle.sort((a, b) => nextUse(b) - nextUse(a));
    for (const key of idle) {
      if (nextUse(key) < Number.POSITIVE_INFINITY && this.#kept.size + more <= MOST_KEPT) continue;
      this.#kept.get(key)!.destroy();
      this.#kept.delete(key);
    }
  }
}
