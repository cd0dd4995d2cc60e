import type { Document, ErrorCode, YAMLError } from 'yaml';
import type { Problem } from '../errors.js';

/** More than this many faults of one broken text are echoes of the first. */
const SHOWN = 5;

const MARKUP = "write one 'field: value' a line, and put texts that hold ': ' or ' #' in quotes";

const MISALIGNED = 'this line begins in another column than the rest of its group; line them up';

const SENTENCES: Partial<Record<ErrorCode, string>> = {
  TAB_AS_INDENT: 'a tab indents this line; indent with spaces',
  MULTIPLE_DOCS: "a second document begins here ('---'); a scene file holds one",
  TAG_RESOLVE_FAILED: 'words that begin with ! are not used in scenes; put the text in quotes',
  BLOCK_IN_FLOW: 'inside [ ] and { } everything stands in brackets too, with commas between',
  MULTIPLE_ANCHORS: 'only one & name may stand here',
  BLOCK_AS_IMPLICIT_KEY: `a second field begins on this line; ${MARKUP}`,
  BAD_ALIAS: 'a * reference needs a name right after the star; put other texts in quotes',
};

/** The faults of a text that is not well-formed, so that its values cannot be trusted. */
export function unreadable(
  document: Document,
  text: string,
  at: (offset: number) => string,
): readonly Problem[] {
  const faults = [...document.errors, ...document.warnings];
  const seen = new Set<string>();
  return faults.flatMap((fault) => {
    const place = at(fault.pos[0]);
    const line = place.slice(0, place.lastIndexOf(':'));
    if (seen.has(line) || seen.size >= SHOWN) return [];
    seen.add(line);
    return [{ place, path: '', message: sentence(fault, text) }];
  });
}

function sentence(fault: YAMLError, text: string): string {
  const rest = text.slice(fault.pos[0]);
  switch (fault.code) {
    case 'BAD_SCALAR_START':
      return `a text that begins with ${rest.slice(0, 1)} must stand in quotes`;
    case 'BAD_DQ_ESCAPE':
      return 'a backslash in double quotes must be written twice; in single quotes, once';
    case 'MISSING_CHAR':
      if (fault.message.includes('quote')) return 'a quote that opens before here is not closed';
      if (/^[ \t]+[^\s:]+:\s/u.test(rest)) return MISALIGNED;
      return `a colon, a comma or a bracket is missing here; ${MARKUP}`;
    case 'BAD_INDENT':
      if (fault.message.startsWith('Flow')) return 'a [ or { above is not closed';
      return MISALIGNED;
    default:
      return SENTENCES[fault.code] ?? `this cannot be understood; ${MARKUP}`;
  }
}
