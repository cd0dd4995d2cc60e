import { extname } from 'node:path';
import { save } from '../complete/save.js';
import { detectFormat } from '../inspect/format.js';
import { type LevelOptions, type LevelReport, levelMaster } from '../level.js';
import { carryMetadata } from './carry.js';
import { inWorkFolder } from './workFolder.js';

/** `levelMaster`, with all that the camera wrote carried over; nothing left behind however it ends. */
export async function makeLevel(options: LevelOptions): Promise<LevelReport> {
  return inWorkFolder(options, async (folder) => {
    await detectFormat(options.input);
    // ExifTool, which restates the pose, writes into no BigTIFF, so a TIFF is made last.
    const isTiff = /^\.tiff?$/u.test(extname(folder.result));
    const output = isTiff ? folder.path('level.png') : folder.result;
    const report = await levelMaster({ ...options, output });
    const written = report.status === 'turned';
    if (written && isTiff) await save(output, folder.result, report.size.depth, 100);
    if (written) await carryMetadata(options.input, folder.result);
    return { report, written };
  });
}
