/** The process that renders for the page: takes one order, tells how far it is, and ends. */
import { findFfmpeg } from '../encode/ffmpeg.js';
import { InputError } from '../errors.js';
import { renderClips, renderStills } from '../render.js';
import { withShapes } from '../scene/retarget.js';
import { frameAt, frameCount, frameTime } from '../timeline/frames.js';
import { readSceneText } from './sceneText.js';
import type { WorkOrder, WorkReport } from './works.js';

const controller = new AbortController();
process.once('SIGTERM', () => controller.abort());
// The preview has ended without a word.
process.once('disconnect', () => controller.abort());

process.once('message', (order: WorkOrder) => {
  void work(order)
    .then(
      () => report({ kind: 'end' }),
      (error: unknown) =>
        report({ kind: 'end', problem: error instanceof Error ? error.message : String(error) }),
    )
    .then(() => process.disconnect());
});

const report = (said: WorkReport): Promise<void> =>
  new Promise((done) => {
    if (process.send === undefined || !process.connected) done();
    else process.send(said, () => done());
  });

async function work({ kind, text, sceneFile, shape, at, quality, file }: WorkOrder): Promise<void> {
  const { scene: read, problems } = await readSceneText(text, sceneFile);
  if (read === undefined) throw new InputError(problems);
  const scene = withShapes(read, [shape]);
  const [output] = scene.outputs;
  const deliveries = [{ output: output!, file }];
  const job = { scene, deliveries, quality, overwrite: false, signal: controller.signal };
  if (kind === 'still') {
    const last = frameCount(scene.duration, scene.fps) - 1;
    const instant = frameTime(Math.min(frameAt(at, scene.fps), last), scene.fps);
    return renderStills({ ...job, at: instant });
  }
  return renderClips({
    ...job,
    ffmpeg: await findFfmpeg(),
    onProgress: ({ done, total }) => void report({ kind: 'progress', done, total }),
  });
}
