import sharp from 'sharp';
import { findTag, type TagEdits, withMetadata } from '../metadata.js';

/**
 * Gives `to`, a new picture made of `from`, what the camera wrote: EXIF with its maker's notes, and
 * IPTC. Encoders keep the colour profile and XMP, but not all of them these (libvips leaves EXIF out
 * of TIFF). What EXIF says of the old picture goes: its thumbnail, its size, that it wants turning.
 */
export async function carryMetadata(from: string, to: string): Promise<void> {
  await withMetadata(async (tool) => {
    const tags = await tool.read(from);
    const { width, height } = await sharp(to, { limitInputPixels: false }).metadata();
    const sized = findTag(tags, 'ExifIFD', 'ExifImageWidth') !== undefined;
    const turned = findTag(tags, 'IFD0', 'Orientation') !== undefined;
    const edits: TagEdits = {
      'IFD1:all': null,
      ...(sized ? { 'ExifIFD:ExifImageWidth': width, 'ExifIFD:ExifImageHeight': height } : {}),
      ...(turned ? { 'IFD0:Orientation': 1 } : {}),
    };
    const copied = ['-EXIF:all', '-IPTC:all', '-MakerNotes:all'];
    const left = ['--IFD1:all', '--PreviewImage', '--ExifImageWidth', '--ExifImageHeight'];
    const extra = ['-tagsFromFile', from, ...copied, ...left, '--Orientation', '-m'];
    await tool.edit(to, from, edits, extra);
  });
}
