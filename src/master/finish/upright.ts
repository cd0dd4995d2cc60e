import { detectFormat } from '../inspect/format.js';
import { type LevelOptions, type LevelReport, levelMaster } from '../level.js';
import { carryMetadata } from './carry.js';
import { inWorkFolder } from './workFolder.js';

/** `levelMaster`, with all that the camera wrote carried over; nothing left behind however it ends. */
export async function makeLevel(options: LevelOptions): Promise<LevelReport> {
  return inWorkFolder(options, async (folder) => {
    await detectFormat(options.input);
    const report = await levelMaster({ ...options, output: folder.result });
    const written = report.status === 'turned';
    if (written) await carryMetadata(options.input, folder.result);
    return { report, written };
  });
}
