/** How a decoded frame's planes lie: Y', Cb, Cr, one after the other, rows from the top. */
export interface PlaneLayout {
  /** ffmpeg's name of it. */
  readonly format: string;
  /** Bits a sample; more than 8 lie in 16-bit little-endian words. */
  readonly bits: 8 | 10 | 12;
  /** Luma columns and rows to a chroma sample. */
  readonly across: 1 | 2;
  readonly down: 1 | 2;
}

/** Those that need no conversion, by ffmpeg's names. */
const LAYOUTS: readonly PlaneLayout[] = (['420', '422', '444'] as const).flatMap((chroma) => {
  const across = chroma === '444' ? 1 : 2;
  const down = chroma === '420' ? 2 : 1;
  return [
    { format: `yuv${chroma}p`, bits: 8, across, down },
    { format: `yuvj${chroma}p`, bits: 8, across, down },
    { format: `yuv${chroma}p10le`, bits: 10, across, down },
    { format: `yuv${chroma}p12le`, bits: 12, across, down },
  ] as const;
});

/** Others, and what they are repacked to; nothing of the colour is touched. */
const REPACKED: Readonly<Record<string, string>> = {
  nv12: 'yuv420p',
  nv21: 'yuv420p',
  yuva420p: 'yuv420p',
  yuva422p: 'yuv422p',
  yuva444p: 'yuv444p',
  yuyv422: 'yuv422p',
  uyvy422: 'yuv422p',
  p010le: 'yuv420p10le',
  p210le: 'yuv422p10le',
  yuva420p10le: 'yuv420p10le',
  yuva422p10le: 'yuv422p10le',
  yuva444p10le: 'yuv444p10le',
  yuva444p12le: 'yuv444p12le',
};

/** What everything else, RGB and its like, is converted to; as BT.709, limited range. */
const FALLBACK = 'yuv444p10le';

/** The layout in which to ask for a stream's frames, and whether they are converted to BT.709 for it. */
export function layoutFor(pixelFormat: string): { layout: PlaneLayout; converted: boolean } {
  const name = REPACKED[pixelFormat] ?? pixelFormat;
  const own = LAYOUTS.find(({ format }) => format === name);
  if (own !== undefined) return { layout: own, converted: false };
  return { layout: LAYOUTS.find(({ format }) => format === FALLBACK)!, converted: true };
}

export interface Plane {
  readonly width: number;
  readonly height: number;
  /** Bytes from the frame's start, and its length. */
  readonly offset: number;
  readonly bytes: number;
}

/** The planes of a frame of that size. */
export function planesOf(
  { bits, across, down }: PlaneLayout,
  width: number,
  height: number,
): readonly [Plane, Plane, Plane] {
  const sample = bits === 8 ? 1 : 2;
  const chroma = { width: Math.ceil(width / across), height: Math.ceil(height / down) };
  const luma = width * height * sample;
  const bytes = chroma.width * chroma.height * sample;
  return [
    { width, height, offset: 0, bytes: luma },
    { ...chroma, offset: luma, bytes },
    { ...chroma, offset: luma + bytes, bytes },
  ];
}

export function frameBytes(layout: PlaneLayout, width: number, height: number): number {
  const last = planesOf(layout, width, height)[2];
  return last.offset + last.bytes;
}
