import sharp from 'sharp';
import { directionOf, type Place, placeIn } from '../camera/aim.js';
import type { Camera } from '../camera/types.js';
import { FONT_FAMILY, readyHouseFont } from '../lettering/house.js';
import { safeOf } from '../scene/safe.js';
import type { Keyframe, Mark, Output, Sequence, SequenceOutput } from '../scene/types.js';
import { type SeenShot, shotsAt } from '../timeline/shots.js';
import { sceneTime } from '../timeline/timing.js';
import { camerasOf } from './cameras.js';

/**
 * A frame with guides over it: the lines of thirds, the safe area and the scene's marks by name, the one
 * looked at in colour.
 *
 * @param rgba 8 bits a channel, straight alpha, rows from the top
 * @param seconds of the whole clip; of two shots seen together, the stronger one's marks count
 */
export async function withGuides(
  rgba: Uint8Array,
  scene: Sequence,
  delivered: SequenceOutput,
  seconds: number,
): Promise<Uint8Array> {
  const { width, height, index } = delivered;
  const [{ shot, at }] = shotsAt(scene, seconds).toSorted((a, b) => b.share - a.share) as [
    SeenShot,
  ];
  const { marks, outputs } = scene.shots[shot]!;
  const camera = camerasOf(scene, delivered)(shot)(at);
  const shown = sceneTime(scene.shots[shot]!, at);
  const drawing = guidesSvg(marks, { ...outputs[index]!, width, height }, camera, shown);
  await readyHouseFont();
  return sharp(rgba, { raw: { width, height, channels: 4 } })
    .composite([{ input: Buffer.from(drawing) }])
    .raw()
    .toBuffer();
}

/** The guides alone, as a drawing of the frame's size; `at` is in the shot's own time, in which its keyframes lie. */
function guidesSvg(marks: readonly Mark[], output: Output, camera: Camera, at: number): string {
  const { width, height } = output;
  const unit = Math.min(width, height) / 1000;
  const signs = signsOf(marks, output, camera, at, unit);
  const parts = [safeArea(output, unit), thirds(output, unit), ...signs];
  return `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}">${parts.join('')}</svg>`;
}

const LIGHT = '#ffffff';
const DARK = '#0b131c';
const LOOKED_AT = '#ffc247';

type Frame = Pick<Output, 'width' | 'height'>;

const digits = (value: number): string => String(Number(value.toFixed(2)));

/** Lines are at least a pixel wide, and dark beside the light, so that they show on any picture. */
function line(path: string, size: number, opacity: number): string {
  const width = Math.max(1, size);
  const stroke = (colour: string, wide: number, strength: number) =>
    `<path d="${path}" fill="none" stroke="${colour}" stroke-width="${digits(wide)}" stroke-opacity="${digits(strength)}"/>`;
  return (
    stroke(DARK, width + 2 * Math.max(0.75, size / 2), opacity * 0.45) +
    stroke(LIGHT, width, opacity)
  );
}

/** On whole pixels, so that lines are crisp. */
const crisp = (value: number): string => digits(Math.round(value - 0.5) + 0.5);

function thirds({ width, height }: Frame, unit: number): string {
  const path = [1 / 3, 2 / 3].map(
    (share) => `M${crisp(width * share)} 0V${height}M0 ${crisp(height * share)}H${width}`,
  );
  return line(path.join(''), unit, 0.5);
}

function safeArea(output: Output, unit: number): string {
  const { width, height } = output;
  const { top, bottom, left, right } = safeOf(output);
  if (top + bottom + left + right === 0) return '';
  const [x, y] = [width * left, height * top];
  const [w, h] = [width * (1 - left - right), height * (1 - top - bottom)];
  const inner = `M${crisp(x)} ${crisp(y)}h${digits(Math.round(w))}v${digits(Math.round(h))}h${digits(-Math.round(w))}z`;
  const outer = `M0 0H${width}V${height}H0Z`;
  const shade = `<path d="${outer}${inner}" fill="${DARK}" fill-opacity="0.42" fill-rule="evenodd"/>`;
  return shade + line(inner, 1.6 * unit, 0.9);
}

function signsOf(
  marks: readonly Mark[],
  output: Output,
  camera: Camera,
  at: number,
  unit: number,
): string[] {
  const looked = lookedAt(output, at);
  const drawn = (mark: Mark, colour: string): string[] => {
    const place = placeIn(camera, directionOf(mark.yaw, mark.pitch));
    return place && inFrame(place) ? [sign(mark.name, place, output, unit, colour)] : [];
  };
  const isLookedAt = ({ yaw, pitch }: Mark) => looked?.yaw === yaw && looked.pitch === pitch;
  const named = marks.filter((mark) => !isLookedAt(mark)).flatMap((mark) => drawn(mark, LIGHT));
  const aim = marks.find(isLookedAt) ?? looked;
  return [...named, ...(aim ? drawn(aim, LOOKED_AT) : [])];
}

/** What the keyframe looks at that is the nearest in time of those that look at something. */
function lookedAt({ keyframes }: Output, at: number): Mark | undefined {
  const looking = keyframes.filter(({ look }) => look !== undefined);
  const off = (keyframe: Keyframe) => Math.abs(keyframe.at - at);
  return looking.toSorted((a, b) => off(a) - off(b))[0]?.look;
}

const inFrame = ([x, y]: Place): boolean => x >= 0 && x <= 1 && y >= 0 && y <= 1;

/** A ring round the spot, and its name beside it, on the side where there is room. */
function sign(name: string, place: Place, frame: Frame, unit: number, colour: string): string {
  const [x, y] = [place[0] * frame.width, place[1] * frame.height];
  const size = Math.max(12, 26 * unit);
  const ring = size * 0.5;
  const onRight = place[0] < 0.62;
  const circle = (fill: string, stroke: string, width: number, radius: number) =>
    `<circle cx="${digits(x)}" cy="${digits(y)}" r="${digits(radius)}" fill="${fill}" stroke="${stroke}" stroke-width="${digits(width)}"/>`;
  const beside = x + (onRight ? 1 : -1) * (ring + size * 0.45);
  const words = `<text x="${digits(beside)}" y="${digits(y + size * 0.35)}" text-anchor="${onRight ? 'start' : 'end'}" font-family="${FONT_FAMILY}" font-size="${digits(size)}" font-weight="600" fill="${colour}" stroke="${DARK}" stroke-opacity="0.8" stroke-width="${digits(size * 0.2)}" stroke-linejoin="round" paint-order="stroke">${escaped(name)}</text>`;
  return [
    circle('none', DARK, size * 0.26, ring),
    circle('none', colour, size * 0.12, ring),
    circle(colour, DARK, size * 0.05, size * 0.13),
    words,
  ].join('');
}

const escaped = (text: string): string =>
  text.replace(/[&<>"]/gu, (sign) => `&#${sign.codePointAt(0)};`);
