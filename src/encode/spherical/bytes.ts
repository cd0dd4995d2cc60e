import { type Box, child, containerBox, fullBox, leafBox } from './boxes.js';

/**
 * The boxes of Spherical Video V1 and V2 as bytes.
 * Source: google/spatial-media, docs/spherical-video-rfc.md and docs/spherical-video-v2-rfc.md.
 */

export const STEREO_MODES = ['mono', 'top-bottom', 'left-right', 'custom', 'right-left'] as const;
export type StereoMode = (typeof STEREO_MODES)[number];

/** Shares (0 to below 1) of the whole sphere's picture that the frame lacks at each edge. */
export interface Bounds {
  readonly top: number;
  readonly bottom: number;
  readonly left: number;
  readonly right: number;
}

export const WHOLE: Bounds = { top: 0, bottom: 0, left: 0, right: 0 };

/** What the V2 boxes, or Matroska's Projection element, say. Angles in degrees, turning as V2 defines: yaw to the left, seen from above. */
export interface V2 {
  readonly stereo: StereoMode | 'unknown' | undefined;
  readonly source: string;
  readonly yaw: number;
  readonly pitch: number;
  readonly roll: number;
  readonly projection: 'equirectangular' | 'cubemap' | 'mesh' | 'unknown';
  readonly bounds: Bounds | undefined;
}

/** What the V1 box says: its XML, and its elements by their names without the prefix. */
export interface V1 {
  readonly xml: string;
  readonly fields: Readonly<Record<string, string>>;
}

const V1_UUID = Buffer.from('ffcc8263f8554a938814587a02521fdd', 'hex');
export const V2_TYPES: readonly string[] = ['st3d', 'sv3d'];

const PROJECTIONS: Readonly<Record<string, V2['projection']>> = {
  equi: 'equirectangular',
  cbmp: 'cubemap',
  mshp: 'mesh',
};

function fixed16(degrees: number): Buffer {
  const bytes = Buffer.alloc(4);
  bytes.writeInt32BE(Math.round(degrees * 65536));
  return bytes;
}

function fraction32(share: number): Buffer {
  const bytes = Buffer.alloc(4);
  bytes.writeUInt32BE(Math.min(0xffffffff, Math.round(share * 2 ** 32)));
  return bytes;
}

export function st3dBox(stereo: StereoMode): Box {
  return fullBox('st3d', Buffer.from([STEREO_MODES.indexOf(stereo)]));
}

/** The fields of the `equi` box, which Matroska stores as well. */
export const equiFields = ({ top, bottom, left, right }: Bounds): Buffer =>
  Buffer.concat([top, bottom, left, right].map(fraction32));

export function sv3dBox(claim: {
  source: string;
  yaw: number;
  pitch: number;
  roll: number;
  bounds: Bounds;
}): Box {
  const { source, bounds } = claim;
  const pose = [claim.yaw, claim.pitch, claim.roll].map(fixed16);
  return containerBox('sv3d', [
    fullBox('svhd', Buffer.from(`${source}\0`, 'utf8')),
    containerBox('proj', [fullBox('prhd', ...pose), fullBox('equi', equiFields(bounds))]),
  ]);
}

const ENTITIES: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;' };
const escapeXml = (text: string): string => text.replace(/[&<>]/g, (c) => ENTITIES[c] ?? c);

function unescapeXml(text: string): string {
  return text.replace(/&(lt|gt|quot|apos|amp);/g, (_, name: string) => {
    return { lt: '<', gt: '>', quot: '"', apos: "'", amp: '&' }[name] ?? '';
  });
}

/** The V1 box, with these elements in this order. */
export function v1Box(fields: Readonly<Record<string, string>>): Box {
  const lines = Object.entries(fields).map(
    ([name, value]) => `  <GSpherical:${name}>${escapeXml(value)}</GSpherical:${name}>\n`,
  );
  const xml =
    '<?xml version="1.0"?>\n' +
    '<rdf:SphericalVideo xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"' +
    ' xmlns:GSpherical="http://ns.google.com/videos/1.0/spherical/">\n' +
    `${lines.join('')}</rdf:SphericalVideo>`;
  return leafBox('uuid', V1_UUID, Buffer.from(xml, 'utf8'));
}

export function isV1Box(box: Box): boolean {
  return box.type === 'uuid' && box.body.subarray(0, 16).equals(V1_UUID);
}

export function parseV1(box: Box): V1 {
  const xml = box.body.toString('utf8', 16);
  const fields: Record<string, string> = {};
  for (const [, name, value] of xml.matchAll(/<GSpherical:(\w+)>([^<]*)<\/GSpherical:\1>/g)) {
    if (name !== undefined) fields[name] = unescapeXml((value ?? '').trim());
  }
  return { xml, fields };
}

function parseStereo(st3d: Box | undefined): V2['stereo'] {
  const mode = st3d?.body[4];
  return mode === undefined ? undefined : (STEREO_MODES[mode] ?? 'unknown');
}

/** Of the content of an `equi` box, version and flags first. */
export function parseBounds(equi: Buffer | undefined): Bounds | undefined {
  if (equi === undefined || equi.length < 20) return undefined;
  const edge = (index: number) => equi.readUInt32BE(4 + 4 * index) / 2 ** 32;
  return { top: edge(0), bottom: edge(1), left: edge(2), right: edge(3) };
}

/** What the V2 boxes among a sample entry's children say; undefined where there is no sv3d. */
export function parseV2(children: readonly Box[]): V2 | undefined {
  const sv3d = children.find((box) => box.type === 'sv3d');
  if (sv3d === undefined) return undefined;
  const source = child(sv3d, 'svhd')?.body.toString('utf8', 4).replace(/\0.*$/s, '') ?? '';
  const proj = child(sv3d, 'proj');
  const pose = child(proj, 'prhd')?.body;
  const angle = (index: number) =>
    pose === undefined || pose.length < 16 ? 0 : pose.readInt32BE(4 + 4 * index) / 65536;
  const kind = proj?.children?.find((box) => box.type in PROJECTIONS)?.type ?? '';
  return {
    stereo: parseStereo(children.find((box) => box.type === 'st3d')),
    source,
    yaw: angle(0),
    pitch: angle(1),
    roll: angle(2),
    projection: PROJECTIONS[kind] ?? 'unknown',
    bounds: parseBounds(child(proj, 'equi')?.body),
  };
}
