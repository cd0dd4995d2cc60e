import { statSync } from 'node:fs';

/** What changes whenever a file is written or replaced; `none` where there is no such file. */
export function fileStamp(file: string): string {
  const facts = statSync(file, { throwIfNoEntry: false, bigint: true });
  return facts === undefined ? 'none' : `${facts.ino} ${facts.size} ${facts.mtimeNs}`;
}
