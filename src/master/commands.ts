/** A file's name as a shell takes it; one that starts with a dash is no option then. */
export function quoted(name: string): string {
  const file = name.startsWith('-') ? `./${name}` : name;
  if (/^[\w@%+=:,./-]+$/.test(file)) return file;
  // Shells that are not Windows' put something else in place of these, also within double quotes.
  if (process.platform !== 'win32' && /[$`"\\!]/.test(file)) {
    return `'${file.replaceAll("'", "'\\''")}'`;
  }
  return `"${file}"`;
}

/** The command that marks the file itself; `as` says what it is, by default a whole sphere. */
export const markCommand = (file: string, as = ''): string =>
  `orbreel master mark ${quoted(file)} ${as === '' ? '' : `${as} `}--overwrite`;

/** Options that place a picture by its upper edge; one higher than half its width does not go all round. */
export const byLatitude = ({ width, height }: { width: number; height: number }): string =>
  2 * height <= width ? '--top DEG' : '--across DEG --top DEG';

/** The command that does all that a master needs. */
export const finishCommand = (file: string): string =>
  `orbreel master finish ${quoted(file)} --out FILE`;

/** The command that makes a whole sphere of it; `placed` says where it lies, where it does not itself. */
export const completeCommand = (file: string, placed = ''): string =>
  `orbreel master complete ${quoted(file)} ${placed === '' ? '' : `${placed} `}--out FILE`;
