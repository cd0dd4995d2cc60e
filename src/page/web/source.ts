import { type Tile, tileName } from '../layout.js';

/** Gets a tile's picture. Rejects when it cannot be had. */
export type TileSource = (tile: Tile) => Promise<ImageBitmap>;

/** Milliseconds between looks whether a tile has come while the page itself still does. */
const PAUSE = 250;

/** From the page, or by a script that calls `tile` with its name and its picture. */
export function tileSource(folder: string | undefined): TileSource {
  const asked = new Map<string, (text: string) => void>();
  Object.assign(window, {
    tile: (name: string, text: string) => {
      asked.get(name)?.(text);
      asked.delete(name);
    },
  });
  const fetched = (name: string) =>
    new Promise<string>((resolve, reject) => {
      asked.set(name, resolve);
      const script = document.createElement('script');
      script.src = `${folder}${name}.js`;
      script.onload = () => script.remove();
      script.onerror = () => {
        script.remove();
        reject(new Error(`The tile ${name} did not come.`));
      };
      document.head.append(script);
    });
  return async (tile) => {
    const name = tileName(tile);
    for (;;) {
      const whole = document.readyState !== 'loading';
      const element = document.getElementById(`t${name}`);
      // What follows an element shows that its text is all there.
      if (element !== null && (whole || element.nextSibling !== null)) {
        return picture(element.textContent);
      }
      if (element === null && folder !== undefined) return picture(await fetched(name));
      if (whole) throw new Error(`The tile ${name} is not in the page.`);
      await new Promise((done) => setTimeout(done, PAUSE));
    }
  };
}

/** The bytes of base64. */
export const bytesOf = (text: string): Uint8Array<ArrayBuffer> =>
  Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0));

const picture = (text: string): Promise<ImageBitmap> =>
  createImageBitmap(new Blob([bytesOf(text)], { type: 'image/webp' }), {
    colorSpaceConversion: 'none',
    premultiplyAlpha: 'none',
  });
