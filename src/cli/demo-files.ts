import { access, constants, copyFile, mkdir } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { exists, openTarget } from '../encode/target.js';
import { expectGoing } from '../errors.js';
import { shown } from './names.js';
import { packageFolder } from './package.js';
import { Progress } from './progress.js';

const SCENE = join('scenes', 'intro.yaml');
const MASTER = join('examples', 'valley.jpg');
const ELSEWHERE = 'orbreel-demo';

export interface DemoPlaces {
  readonly scene: string;
  readonly master: string;
  clip(name: string): string;
}

/** In a copy of the project, its own folders; from an installed package, a folder beside the user. */
export async function demoPlaces(): Promise<DemoPlaces> {
  // Packages are shipped without src/.
  const writable = await access(join(packageFolder, 'src'), constants.W_OK).then(
    () => true,
    () => false,
  );
  const base = writable ? packageFolder : ELSEWHERE;
  return {
    scene: join(base, SCENE),
    master: join(base, MASTER),
    clip: (name) => join(base, 'out', `${name}.mp4`),
  };
}

/** The shipped scene, unless there is one already: it may have been changed. */
export async function provideScene(file: string): Promise<void> {
  if (await exists(file)) return;
  await mkdir(dirname(file), { recursive: true });
  await copyFile(join(packageFolder, SCENE), file);
}

/**
 * Makes the demo master unless it is there, `width` pixels wide if that is given. True when it was made.
 *
 * @throws WorkError when it cannot be drawn or written; Interrupted when `signal` fires
 */
export async function provideMaster(
  file: string,
  width: number | undefined,
  usualWidth: number,
  { quiet, signal }: { readonly quiet: boolean; readonly signal: AbortSignal },
): Promise<boolean> {
  const present = await widthOf(file);
  if (present !== undefined && (width === undefined || width === present)) return false;
  await mkdir(dirname(file), { recursive: true });
  const { makeValley } = await import('../demo/valley.js');
  const target = await openTarget(file, true);
  const progress = new Progress(process.stderr, { unit: '%' });
  try {
    await makeValley({
      width: width ?? usualWidth,
      file: target.temporary,
      onProgress: (share) => {
        expectGoing(signal);
        const step = { label: shown(file), done: Math.round(100 * share), total: 100 };
        if (!quiet) progress.update(step);
      },
    });
  } catch (error) {
    await target.discard();
    throw error;
  } finally {
    progress.end();
  }
  await target.commit();
  return true;
}

/** Undefined when there is no whole picture. */
async function widthOf(file: string): Promise<number | undefined> {
  if (!(await exists(file))) return undefined;
  const { default: sharp } = await import('sharp');
  return sharp(file)
    .metadata()
    .then(
      ({ width }) => width,
      () => undefined,
    );
}
