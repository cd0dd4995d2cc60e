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

/** The command that makes a whole sphere of it; `placed` says where it lies, where it does not itself. */
export const completeCommand = (file: string, placed = ''): string =>
  `orbreel master complete ${quoted(file)} ${placed === '' ? '' : `${placed} `}--out FILE`;
