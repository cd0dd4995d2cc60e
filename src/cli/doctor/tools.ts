import { CODECS } from '../../encode/codecs.js';
import { CONTAINERS } from '../../encode/containers.js';
import { type Ffmpeg, findFfmpeg } from '../../encode/ffmpeg.js';
import { oldestNode } from '../package.js';
import type { Check } from './check.js';

/** The kind of clip that renders get when nothing else is asked for. */
const USUAL = '.mp4';

export function nodeCheck(version = process.versions.node): Check {
  const what = 'Node.js';
  const [major = 0, minor = 0] = version.split('.').map(Number);
  const [wantedMajor = 0, wantedMinor = 0] = oldestNode.split('.').map(Number);
  const fits = major > wantedMajor || (major === wantedMajor && minor >= wantedMinor);
  if (fits) return { what, state: 'ok', found: version };
  return { what, state: 'missing', found: version, remedy: `install ${oldestNode} or newer` };
}

export type Encoding = { readonly ffmpeg: Ffmpeg } | { readonly problem: string };

export function probeEncoding(option?: string): Promise<Encoding> {
  return findFfmpeg(option).then(
    (ffmpeg) => ({ ffmpeg }),
    (error: Error) => ({ problem: error.message }),
  );
}

export interface Format {
  readonly extension: string;
  readonly title: string;
  readonly encoder: string;
  readonly available: boolean;
}

/** The kinds of clip, and whether this ffmpeg can make them. */
export const formatsOf = ({ encoders, muxers }: Pick<Ffmpeg, 'encoders' | 'muxers'>): Format[] =>
  CONTAINERS.map(({ extension, muxer, codecs }) => {
    const { title, encoders: all } = CODECS[codecs[0]];
    const encoder = all[0].name;
    return { extension, title, encoder, available: encoders.has(encoder) && muxers.has(muxer) };
  });

export function encodingChecks(encoding: Encoding): Check[] {
  if ('problem' in encoding) {
    const [found = '', ...remedy] = encoding.problem.split('\n');
    const how = remedy.length === 0 ? {} : { remedy: remedy.join('\n') };
    return [{ what: 'ffmpeg', state: 'missing', found, ...how }];
  }
  const { path, version, origin } = encoding.ffmpeg;
  return [
    { what: 'ffmpeg', state: 'ok', found: `${version}: ${path} (from ${origin})` },
    ...formatsOf(encoding.ffmpeg).map(formatCheck),
  ];
}

function formatCheck({ extension, title, encoder, available }: Format): Check {
  const what = `  ${extension}`;
  if (available) return { what, state: 'ok', found: `${title} by ${encoder}` };
  return {
    what,
    state: extension === USUAL ? 'missing' : 'note',
    found: `this ffmpeg cannot make ${title}: it was built without ${encoder}`,
    remedy: 'name another ffmpeg with --ffmpeg or FFMPEG_BIN',
  };
}
