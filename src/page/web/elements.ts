/** A new element; `words` are attributes, or its text. */
export function element<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  words: Readonly<Record<string, string>> = {},
  ...children: (Node | string)[]
): HTMLElementTagNameMap[K] {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(words)) made.setAttribute(name, value);
  made.append(...children);
  return made;
}

const SVG = 'http://www.w3.org/2000/svg';

/** Drawn for this page, on a grid of 24. */
const ICONS = {
  planet:
    'M12 7.200a4.800 4.800 0 1 0 0 9.600 4.800 4.800 0 0 0 0-9.600zM7.600 14.300c-3 2-4.600 3.500-4.100 4.200.800 1.200 6-1.100 10.700-4.200S21.300 7 20.500 5.700c-.500-.700-2.800 0-6 1.500',
  level: 'M3 16c3-3.500 5 0 8.500-2S17 11 21 13.500M3 20h18M16.500 5a2 2 0 1 0 .01 0',
  nearer: 'M12 6v12M6 12h12',
  farther: 'M6 12h12',
  device:
    'M8 4h8a1 1 0 0 1 1 1v14a1 1 0 0 1-1 1H8a1 1 0 0 1-1-1V5a1 1 0 0 1 1-1zM3 9.500C2.300 11 2.300 13 3 14.500M21 9.500c.7 1.500.7 3.500 0 5',
  whole: 'M4 9V4h5M15 4h5v5M20 15v5h-5M9 20H4v-5',
  window: 'M9 4v5H4M20 9h-5V4M15 20v-5h5M4 15h5v5',
  again: 'M8 5.500v13l10-6.500z',
  help: 'M9 9.300a3 3 0 1 1 4.300 2.700c-.9.500-1.300 1-1.300 2M12 17.500v.01',
} as const;

export type IconName = keyof typeof ICONS;

export function icon(name: IconName): SVGSVGElement {
  const svg = document.createElementNS(SVG, 'svg');
  const path = document.createElementNS(SVG, 'path');
  path.setAttribute('d', ICONS[name]);
  svg.setAttribute('viewBox', '0 0 24 24');
  svg.setAttribute('aria-hidden', 'true');
  svg.append(path);
  return svg;
}

/** A round button with a picture on it. */
export function button(name: IconName, label: string, press: () => void): HTMLButtonElement {
  const made = element('button', { type: 'button', 'aria-label': label, title: label }, icon(name));
  made.addEventListener('click', press);
  return made;
}

export function change(made: HTMLButtonElement, name: IconName, label: string): void {
  if (made.getAttribute('aria-label') === label) return;
  made.setAttribute('aria-label', label);
  made.title = label;
  made.replaceChildren(icon(name));
}
