import { copyFile } from 'node:fs/promises';
import { type CompleteOptions, type CompleteReport, completeMaster } from '../complete.js';
import { detectFormat } from '../inspect/format.js';
import { type Inspection, inspectMaster } from '../inspect.js';
import { type MarkResult, markMaster } from '../mark.js';
import { carryMetadata } from './carry.js';
import { writeHoleMask } from './holeMask.js';
import { canStayAs, expectOnePhoto, expectSpherical, expectUpright } from './picture.js';
import { placeOf } from './placing.js';
import { inWorkFolder } from './workFolder.js';

export interface WholeReport extends CompleteReport {
  readonly file: string;
  /** Areas of the input that show nothing and were found by looking; filled, unless a mask was given. */
  readonly found: Inspection['holes'];
  readonly mark: MarkResult;
}

/**
 * Makes a whole sphere of a master that is none (see `completeMaster`): placed by what is given or
 * by its own metadata, also filled where areas of one colour show nothing, and marked as whole.
 *
 * @throws InputError, WorkError, or Interrupted; leaves nothing behind then
 */
export async function makeWhole(options: CompleteOptions): Promise<WholeReport> {
  const { input, output } = options;
  return inWorkFolder(options, async (folder) => {
    const inspection = await inspectMaster(input);
    await expectOnePhoto(inspection);
    await expectUpright(input);
    await expectSpherical(input);
    const place = placeOf(inspection, options.place ?? {}, 'complete');
    const report = await completeFound(inspection, { ...options, place }, folder);
    if (await mayStay(inspection, report, options)) await copyFile(input, folder.result);
    else await carryMetadata(input, folder.result);
    const { canvas } = report;
    const mark = await markMaster({ input: folder.result, overwrite: true, ...wholeClaim(canvas) });
    return {
      report: { file: output, ...report, found: inspection.holes, mark: { ...mark, file: output } },
      written: true,
    };
  });
}

/** Where there was nothing to do and no quality is asked for, encoding it again would only lose. */
const mayStay = async (
  { file, orientation }: Inspection,
  { holes, patched }: CompleteReport,
  { output, quality }: CompleteOptions,
): Promise<boolean> =>
  holes.length === 0 &&
  !patched &&
  quality === undefined &&
  orientation === undefined &&
  canStayAs(output, await detectFormat(file));

/** What a sphere that has just been made whole must say, whatever the picture before it said. */
export const wholeClaim = ({ width, height }: { width: number; height: number }) => ({
  place: { full: { width, height }, left: 0, top: 0 },
});

/** Completes also what was found to show nothing, into the folder's result. */
export async function completeFound(
  inspection: Inspection,
  options: CompleteOptions,
  folder: { readonly result: string; path(name: string): string },
): Promise<CompleteReport> {
  const mask = folder.path('mask.png');
  const masked = options.mask === undefined && (await writeHoleMask(inspection, mask));
  return completeMaster({
    ...options,
    ...(masked ? { mask } : {}),
    output: folder.result,
    overwrite: true,
  });
}
