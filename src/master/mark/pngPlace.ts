import { readFile, writeFile } from 'node:fs/promises';
import { inOneWord, tellsPlace } from './placeNames.js';

/** PNG specification (third edition), sections 5.2, 5.3 and 11.3.3: signature, chunks, and the kinds that hold words. */
const SIGNATURE_BYTES = 8;
const AROUND_DATA = 12;
const TEXTS: readonly string[] = ['tEXt', 'zTXt', 'iTXt'];

/** Takes the texts out of a PNG of ours whose keyword tells a place; ExifTool removes only those that it knows. */
export async function dropPlaceTexts(copy: string): Promise<void> {
  const bytes = await readFile(copy);
  const kept = [bytes.subarray(0, SIGNATURE_BYTES)];
  for (let at = SIGNATURE_BYTES; at + AROUND_DATA <= bytes.length; ) {
    const end = at + AROUND_DATA + bytes.readUInt32BE(at);
    if (!tellsIn(bytes.subarray(at, end))) kept.push(bytes.subarray(at, end));
    at = end;
  }
  await writeFile(copy, Buffer.concat(kept));
}

function tellsIn(chunk: Buffer): boolean {
  if (!TEXTS.includes(chunk.toString('latin1', 4, 8))) return false;
  const data = chunk.subarray(8, -4);
  const [keyword = '', text] = data.toString('latin1').split('\0');
  return tellsPlace(inOneWord(keyword), text);
}
