import { CODEC_NAMES, CODECS, type Codec } from './codecs.js';
import { CONTAINERS } from './containers.js';
import { imageFormatOf } from './imageformats.js';
import { PICTURE_CODEC_NAMES, PICTURE_CODECS, type PictureCodecName } from './pictureCodecs.js';

/** One codec, in words, for the README and the help. */
export interface CodecRow {
  /** What --codec takes. */
  readonly codec: string;
  readonly title: string;
  /** What the file's name ends in. */
  readonly files: string;
  /** Of a sample. */
  readonly bits: number;
  readonly alpha: boolean;
  /** ffmpeg's software encoders, the first choice first; empty for pictures, which are made without it. */
  readonly encoders: string;
  /** `from to to (usual)`; empty where there is no such setting. So with presets. */
  readonly crf: string;
  readonly presets: string;
  /** Whether there are encoders of chips for it. */
  readonly hardware: boolean;
}

export const codecRows = (): CodecRow[] => [
  ...CODEC_NAMES.map((name) => clipRow(name, CODECS[name])),
  ...PICTURE_CODEC_NAMES.map(pictureRow),
];

function clipRow(codec: string, { title, bits, alpha, encoders }: Codec): CodecRow {
  const software = encoders.filter(({ hardware }) => !hardware);
  const [{ crf, presets }] = encoders;
  return {
    ...{ codec, title, bits, alpha },
    files: CONTAINERS.filter(({ codecs }) => (codecs as readonly string[]).includes(codec))
      .map(({ extension }) => extension)
      .join(', '),
    encoders: software.map(({ name }) => name).join(', '),
    crf: crf ? `${crf.smallest} to ${crf.largest} (${crf.usual})` : '',
    presets: presets ? `${presets.take} (${presets.usual.final})` : '',
    hardware: encoders.length > software.length,
  };
}

function pictureRow(codec: PictureCodecName): CodecRow {
  const { extensions, depth } = PICTURE_CODECS[codec];
  const format = imageFormatOf(`a${extensions[0]}`);
  return {
    codec,
    title: `${format?.title ?? codec} pictures${depth === 16 ? ' with 16 bits' : ''}`,
    files: `folder/, %05d${extensions[0]}`,
    bits: depth,
    alpha: format?.alpha ?? false,
    encoders: '',
    crf: '',
    presets: '',
    hardware: false,
  };
}
