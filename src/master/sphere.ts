import { completeCommand, markCommand } from './commands.js';
import {
  cropProblems,
  type GPano,
  isWholeCrop,
  rescaledCrop,
  type Size,
  statedCrop,
} from './mark/gpano.js';

/** Less than this is no picture of anything, let alone of all round: 5.6 degrees a pixel. Our choice. */
const LEAST: Size = { width: 64, height: 32 };

const sizeText = ({ width, height }: Size): string => `${width}x${height}`;

/** What is wrong with the size of a master, or a part of one; undefined when nothing is. */
export const smallness = (size: Size): string | undefined =>
  size.width >= LEAST.width && size.height >= LEAST.height
    ? undefined
    : `expected a master of at least ${sizeText(LEAST)} pixels, found ${sizeText(size)}: too small for a picture of a sphere; export it larger`;

/** The other projection that metadata claim; undefined where they claim none or the right one. */
export function otherProjection({ ProjectionType: claimed }: GPano): string | undefined {
  const name = claimed === undefined ? '' : String(claimed).trim();
  return name === '' || name.toLowerCase() === 'equirectangular' ? undefined : name;
}

/** What is wrong where metadata claim another projection; undefined where they do not. */
export function projectionComplaint(file: string, gpano: GPano): string | undefined {
  const other = otherProjection(gpano);
  if (other === undefined) return undefined;
  return `expected an equirectangular master, found that its metadata claim the projection "${other}": convert it to equirectangular first, or, if that claim is wrong, replace it: ${markCommand(file)}`;
}

/** What is wrong where metadata say rightly, as far as sizes go, that a 2:1 picture is but a part of the sphere. */
export function partComplaint(file: string, size: Size, gpano: GPano): string | undefined {
  const stated = statedCrop(gpano);
  if (stated === undefined) return undefined;
  const crop = cropProblems(stated, size).length === 0 ? stated : rescaledCrop(stated, size);
  if (crop === undefined || isWholeCrop(crop)) return undefined;
  const whole = markCommand(file, `--full ${sizeText(size)} --at 0,0`);
  return `expected a whole sphere, found that its metadata place it as a part of one (${sizeText(crop)} at ${crop.left},${crop.top} of ${crop.fullWidth}x${crop.fullHeight}): make it whole first: ${completeCommand(file)}, or, if that claim is wrong, replace it: ${whole}`;
}

const NAMESPACE = 'http://ns.google.com/photos/1.0/panorama/';

/**
 * The GPano fields of a packet of XMP, written as attributes or elements: quicker than ExifTool, for what only looks.
 * Source: Google, "Photo Sphere XMP Metadata".
 */
export function gpanoInXmp(xmp: Buffer | undefined): GPano {
  const text = xmp?.toString('utf8') ?? '';
  const prefix = new RegExp(`xmlns:([\\w.-]+)\\s*=\\s*["']${NAMESPACE}["']`, 'u').exec(text)?.[1];
  if (prefix === undefined) return {};
  const name = prefix.replaceAll('.', '\\.');
  const attributes = text.matchAll(
    new RegExp(`\\s${name}:(\\w+)\\s*=\\s*(?:"([^"]*)"|'([^']*)')`, 'gu'),
  );
  const elements = text.matchAll(
    new RegExp(`<${name}:(\\w+)[^>/]*>([^<]*)</${name}:\\1\\s*>`, 'gu'),
  );
  return Object.fromEntries(
    [...attributes, ...elements].map(([, field, one, other]) => [
      field,
      (one ?? other ?? '').trim(),
    ]),
  );
}
