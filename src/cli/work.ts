import { flashingText } from '../comfort/words.js';
import type { ClipJob } from '../render.js';
import { shown } from './names.js';
import { Progress } from './progress.js';
import { note } from './terminal.js';

interface Work extends Omit<ClipJob, 'ffmpeg' | 'onProgress' | 'onNote' | 'onFlashing'> {
  /** The value of --ffmpeg. */
  readonly ffmpeg?: string | undefined;
  readonly quiet: boolean;
}

/** Renders clips and shows how far it is. @throws InputError, WorkError, Interrupted */
export async function makeClips({ ffmpeg, quiet, ...job }: Work): Promise<void> {
  // What draws and encodes is loaded only now, so that help and mistakes come at once.
  const [{ renderClips }, { findFfmpeg }] = await Promise.all([
    import('../render.js'),
    import('../encode/ffmpeg.js'),
  ]);
  const progress = new Progress(process.stderr, { unit: 'frames', speed: 'fps' });
  const found = await findFfmpeg(ffmpeg);
  const said = new Set<string>();
  try {
    await renderClips({
      ...job,
      ffmpeg: found,
      onMaster: (file) => {
        if (!quiet) progress.say(`Reading ${shown(file)} ...`);
      },
      // Several clips by the same encoder have one note.
      onNote: (sentence) => {
        if (!quiet && !said.has(sentence)) {
          progress.end();
          note(`Note: ${sentence}`);
        }
        said.add(sentence);
      },
      onProgress: ({ delivery, done, total }) => {
        if (!quiet) progress.update({ label: shown(delivery.file), done, total });
      },
      onFlashing: ({ file }, flashing) => {
        progress.end();
        if (!quiet) note(`Warning: ${shown(file)} ${flashingText(flashing)}`);
      },
    });
  } finally {
    progress.end();
  }
}
