export type Attributes = Readonly<Record<string, string | number>>;

/** An SVG element; `children` are elements or escaped text. */
export function element(
  name: string,
  attributes: Attributes,
  children: readonly string[] = [],
): string {
  const list = Object.entries(attributes).map(([key, value]) => ` ${key}="${escaped(`${value}`)}"`);
  const open = `<${name}${list.join('')}`;
  return children.length === 0 ? `${open}/>` : `${open}>${children.join('')}</${name}>`;
}

/** A line of text whose baseline begins at (x, y). */
export const text = (x: number, y: number, words: string, attributes: Attributes = {}): string =>
  element('text', { x: x.toFixed(1), y: y.toFixed(1), ...attributes }, [escaped(words)]);

export const escaped = (words: string): string =>
  words
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;');

/** A path through points; those of a level stretch but its ends are left out. */
export function pathOf(points: readonly (readonly [x: number, y: number])[]): string {
  const kept = points.filter(
    ([, y], index) => points[index - 1]?.[1] !== y || points[index + 1]?.[1] !== y,
  );
  return kept.map(([x, y], i) => `${i === 0 ? 'M' : 'L'}${x.toFixed(1)} ${y.toFixed(2)}`).join(' ');
}
