import { open } from 'node:fs/promises';
import { diskError } from './disk.js';
import { h264Level, type Level, levelOfSizes } from './level.js';
import type { Rational } from './rate.js';
import { readBytes } from './reading.js';
import { type Box, child, opened, parseBoxes } from './spherical/boxes.js';
import { topBoxes } from './spherical/regions.js';

/** Where the children of a visual sample entry begin (ISO/IEC 14496-12, 12.1.3). */
const ENTRY_FIELDS = 78;

/**
 * Makes an H.264 MP4 or MOV say the level that its bits really need. Only known when all is encoded, and
 * then worth two bytes in the header: one in the decoder configuration (ISO/IEC 14496-15, 5.3.3), one in
 * the sequence parameter set that it holds (ITU-T H.264, 7.3.2.1.1: profile_idc, constraints, level_idc).
 * A higher level only allows more, so a stream made for a lower one is always right in it.
 */
export async function tellTrueLevel(
  file: string,
  { width, height, rate }: { width: number; height: number; rate: Rational },
): Promise<Level | undefined> {
  const least = h264Level(width, height, rate);
  if (!least) return undefined;
  const handle = await open(file, 'r+');
  try {
    const region = (await topBoxes(handle, file)).find(({ type }) => type === 'moov');
    if (!region) return undefined;
    const header = await readBytes(handle, region.start, region.size);
    const table = child(parseBoxes(header, '').boxes[0], 'trak', 'mdia', 'minf', 'stbl');
    const level = levelOfSizes(least, sampleSizes(child(table, 'stsz')), rate);
    const configuration = avcC(child(table, 'stsd'));
    if (level !== least && configuration) {
      setLevel(configuration, Math.round(Number(level.name) * 10));
      // The boxes are views of `header`.
      await handle.write(header, 0, header.length, region.start);
    }
    return level;
  } catch (error) {
    throw diskError(error, file);
  } finally {
    await handle.close();
  }
}

/** Sample size box (ISO/IEC 14496-12, 8.7.3): one size for all, or, where that is 0, a list. */
function* sampleSizes(stsz: Box | undefined): Iterable<number> {
  if (!stsz) return;
  const [common, count] = [stsz.body.readUInt32BE(4), stsz.body.readUInt32BE(8)];
  for (let index = 0; index < count; index++) {
    yield common || stsz.body.readUInt32BE(12 + 4 * index);
  }
}

function avcC(stsd: Box | undefined): Buffer | undefined {
  const entry = stsd?.children?.[0];
  return entry && child(opened(entry, ENTRY_FIELDS), 'avcC')?.body;
}

function setLevel(configuration: Buffer, levelIdc: number): void {
  configuration[3] = levelIdc;
  const sets = configuration[5]! & 0x1f;
  for (let at = 6, set = 0; set < sets; set++) {
    configuration[at + 2 + 3] = levelIdc;
    at += 2 + configuration.readUInt16BE(at);
  }
}
