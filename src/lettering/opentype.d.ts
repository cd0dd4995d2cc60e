/** What we use of it; the package brings no types. */
declare module 'opentype.js' {
  type Names = Readonly<Record<string, Readonly<Record<string, string>> | undefined>>;
  export interface Font {
    /** By platform: unicode, macintosh, windows. */
    readonly names: Readonly<Record<string, Names | undefined>>;
    /** 0 for a character that the font lacks. */
    charToGlyphIndex(character: string): number;
  }
  const opentype: { parse(bytes: ArrayBuffer): Font };
  export default opentype;
}
