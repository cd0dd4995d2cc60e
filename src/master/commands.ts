/** A file's name as a shell takes it. */
export const quoted = (file: string): string =>
  /^[\w@%+=:,./-]+$/.test(file) ? file : JSON.stringify(file);

/** The command that marks the file itself; `as` says what it is, by default a whole sphere. */
export const markCommand = (file: string, as = ''): string =>
  `orbreel master mark ${quoted(file)} ${as === '' ? '' : `${as} `}--overwrite`;

/** The command that makes a whole sphere of it; `placed` says where it lies, where it does not itself. */
export const completeCommand = (file: string, placed = ''): string =>
  `orbreel master complete ${quoted(file)} ${placed === '' ? '' : `${placed} `}--out FILE`;
