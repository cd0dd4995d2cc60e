import { frameAt, frameCount, frameTime } from '../../timeline/frames.js';
import type { Change, PageState } from '../protocol.js';
import { post, Refused } from './api.js';
import type { Scenery } from './scenery.js';
import type { Store } from './store.js';
import { aimsOf, fieldsOf, insertion, rounded } from './wording.js';

const ELSEWHERE =
  'These keyframes are written elsewhere: in another scene file, or as ready moves. Change them there, or in the text.';

/** What can be done to the scene. Each resolves when the server has done it, or said why not. */
export class Actions {
  readonly #store: Store;
  readonly #scenery: Scenery;
  /** One after the other, each on what the one before has made. */
  #queue: Promise<unknown> = Promise.resolve();

  constructor(store: Store, scenery: Scenery) {
    this.#store = store;
    this.#scenery = scenery;
  }

  /** The last frame's instant at or before `seconds`. */
  snapped(seconds: number): number {
    const { scene } = this.#scenery;
    if (scene === undefined) return 0;
    const last = frameCount(scene.duration, scene.fps) - 1;
    return frameTime(
      Math.min(last, Math.max(0, frameAt(seconds + 0.5 / scene.fps, scene.fps))),
      scene.fps,
    );
  }

  seek(seconds: number): void {
    this.#store.set({ time: this.snapped(seconds), playing: false, free: undefined });
  }

  step(frames: number): void {
    const fps = this.#scenery.scene?.fps ?? 30;
    this.seek(this.#store.shown.time + frames / fps);
  }

  /** To the next keyframe, or the one before. */
  toKeyframe(by: 1 | -1): void {
    const { time } = this.#store.shown;
    const near = 0.25 / (this.#scenery.scene?.fps ?? 30);
    const times = this.#scenery.keyframes.map(({ time }) => time);
    const next =
      by === 1 ? times.find((at) => at > time + near) : times.findLast((at) => at < time - near);
    if (next !== undefined) this.seek(next);
  }

  /** Writes the view into the keyframe here, or into a new one. */
  setKeyframe(): Promise<void> {
    return this.#edit((state) => {
      const { time } = this.#store.shown;
      const view = this.#store.shown.free ?? this.#scenery.viewAt(time);
      const here = this.#scenery.keyframeAt(time);
      const fields = fieldsOf(this.#scenery, view, here?.path);
      const label = `the keyframe at ${rounded(time, 2)} s`;
      if (here === undefined) {
        const value = { at: this.#own(time), ...fields };
        return {
          label,
          changes: [insertion(this.#scenery.keyframes, state, time, value)],
          said: `Set ${label}.`,
        };
      }
      const changes = [
        ...aimsOf(here).map((name): Change => ({ kind: 'remove', place: [...here.where, name] })),
        ...Object.entries(fields).map(
          ([name, value]): Change => ({ kind: 'set', place: [...here.where, name], value }),
        ),
      ];
      return { label, changes, said: `Updated ${label}.` };
    }).then((done) => {
      if (done) this.#store.set({ free: undefined });
    });
  }

  removeKeyframe(path: string): Promise<unknown> {
    return this.#edit(() => {
      const keyframe = this.#scenery.keyframe(path);
      if (keyframe === undefined) return undefined;
      if (this.#scenery.keyframes.length === 1) throw new Refused('A scene needs one keyframe.');
      const label = `removing the keyframe at ${rounded(keyframe.time, 2)} s`;
      const changes = [{ kind: 'remove', place: keyframe.where } as const];
      return { label, changes, said: `Removed the keyframe at ${rounded(keyframe.time, 2)} s.` };
    });
  }

  /** Moves a keyframe in time, and the playhead with it. */
  moveKeyframe(path: string, to: number): Promise<unknown> {
    const at = this.snapped(to);
    return this.#edit(() => {
      const keyframe = this.#scenery.keyframe(path);
      if (keyframe === undefined || Math.abs(keyframe.time - at) < 1e-6) return undefined;
      const label = `moving a keyframe to ${rounded(at, 2)} s`;
      const place = [...keyframe.where, 'at'];
      const changes: Change[] = [{ kind: 'set', place, value: this.#own(at) }];
      return { label, changes, said: `Moved to ${rounded(at, 2)} s.` };
    }).then((done) => done && this.seek(at));
  }

  copyKeyframe(path: string): void {
    const { at: _, ...copied } = this.#scenery.keyframe(path)?.written ?? {};
    this.#store.set({ copied, said: 'Copied the keyframe.' });
  }

  /** Puts the copied keyframe at the playhead, or elsewhere. */
  paste(seconds = this.#store.shown.time): Promise<unknown> {
    const at = this.snapped(seconds);
    return this.#edit((state) => {
      const { copied } = this.#store.shown;
      if (copied === undefined) return undefined;
      if (this.#scenery.keyframeAt(at) !== undefined) {
        throw new Refused('There is a keyframe at this time already.');
      }
      const value = { at: this.#own(at), ...copied };
      const label = `a copied keyframe at ${rounded(at, 2)} s`;
      return {
        label,
        changes: [insertion(this.#scenery.keyframes, state, at, value)],
        said: `Added ${label}.`,
      };
    }).then((done) => done && this.seek(at));
  }

  /** Sets a field of a keyframe, or leaves it out (undefined). */
  setField(path: string, field: string, value: unknown): Promise<unknown> {
    return this.#edit(() => {
      const keyframe = this.#scenery.keyframe(path);
      if (keyframe === undefined) return undefined;
      const place = [...keyframe.where, field];
      const change: Change =
        value === undefined ? { kind: 'remove', place } : { kind: 'set', place, value };
      return { label: `${field} of a keyframe`, changes: [change], said: `Set ${field}.` };
    });
  }

  /** Lets a keyframe look at a mark in place of angles; undefined keeps to the angles that it comes to. */
  lookAt(path: string, mark: string | undefined): Promise<unknown> {
    return this.#edit(() => {
      const keyframe = this.#scenery.keyframe(path);
      if (keyframe === undefined) return undefined;
      const { where, written } = keyframe;
      const gone = mark === undefined ? aimsOf(keyframe) : ['yaw', 'pitch', 'heading'];
      const { yaw, pitch } = this.#scenery.viewAt(keyframe.time);
      const set =
        mark === undefined ? { yaw: rounded(yaw, 2), pitch: rounded(pitch, 2) } : { look: mark };
      const changes = [
        ...Object.entries(set).map(
          ([name, value]): Change => ({ kind: 'set', place: [...where, name], value }),
        ),
        ...gone
          .filter((name) => name in written)
          .map((name): Change => ({ kind: 'remove', place: [...where, name] })),
      ];
      const label = mark === undefined ? 'looking freely' : `looking at ${mark}`;
      return { label, changes, said: `The keyframe is ${label}.` };
    });
  }

  setMark(name: string, place: { yaw: number; pitch: number }): Promise<unknown> {
    return this.#edit(({ marks, marksPlace }) => {
      const value = { yaw: rounded(place.yaw, 1), pitch: rounded(place.pitch, 1) };
      const isFirst = marks.length === 0;
      const change: Change = isFirst
        ? { kind: 'set', place: marksPlace, value: { [name]: value } }
        : { kind: 'set', place: [...marksPlace, name], value };
      return { label: `the mark ${name}`, changes: [change], said: `Set the mark ${name}.` };
    });
  }

  removeMark(name: string): Promise<unknown> {
    return this.#edit(({ marks, marksPlace }) => {
      const isLast = marks.length === 1;
      const place = isLast ? marksPlace : [...marksPlace, name];
      const label = `removing the mark ${name}`;
      return { label, changes: [{ kind: 'remove', place }], said: `Removed the mark ${name}.` };
    });
  }

  showShot(shot: number): Promise<boolean> {
    this.#store.set({ time: 0, playing: false, free: undefined });
    return this.ask('shot', { shot }, 'Another shot.');
  }

  undo(by: 1 | -1): Promise<boolean> {
    return this.ask('undo', { by }, by === 1 ? 'Done again.' : 'Undone.');
  }

  save(name?: string): Promise<boolean> {
    const { server } = this.#store.shown;
    if (server?.isNew && name === undefined) {
      this.#store.set({ dialog: 'save' });
      return Promise.resolve(false);
    }
    return this.ask('save', name === undefined ? {} : { name }, 'Saved.').then((done) => {
      const now = this.#store.shown.server;
      if (done && now?.conflict !== undefined)
        this.#store.set({ said: 'Not saved: the file was changed.' });
      return done;
    });
  }

  /** Sends one request after those before it; false when it was refused. */
  ask(name: string, body: unknown, said: string): Promise<boolean> {
    const turn = this.#queue.then(async () => {
      try {
        const server = await post(name, body);
        this.#store.set({ server, trouble: '', said });
        return true;
      } catch (error) {
        const trouble =
          error instanceof Refused
            ? error.message
            : 'The preview does not answer, so this was not done. It is tried again when it is back.';
        this.#store.set({ trouble });
        return false;
      }
    });
    this.#queue = turn;
    return turn;
  }

  #edit(
    plan: (
      state: PageState,
    ) => { label: string; changes: readonly Change[]; said: string } | undefined,
  ): Promise<boolean> {
    const turn = this.#queue.then(async () => {
      const { server } = this.#store.shown;
      if (server === undefined) return false;
      try {
        if (server.list.length === 0) throw new Refused(ELSEWHERE);
        const planned = plan(server);
        if (planned === undefined || planned.changes.length === 0) return false;
        const { said, ...edit } = planned;
        const state = await post('edit', { revision: server.revision, ...edit });
        this.#store.set({ server: state, trouble: '', said });
        return true;
      } catch (error) {
        const trouble =
          error instanceof Refused
            ? error.message
            : 'The preview does not answer, so this change was not made. Try again when it is back.';
        this.#store.set({ trouble });
        return false;
      }
    });
    this.#queue = turn;
    return turn;
  }

  /** The scene's own time at an instant of the clip. */
  #own(clipSeconds: number): number {
    return rounded(this.#scenery.ownTime(clipSeconds), 4);
  }
}
