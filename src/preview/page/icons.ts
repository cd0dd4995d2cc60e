import { html, type TemplateResult } from 'lit';

const icon = (
  d: string,
  filled = false,
): TemplateResult => html`<svg class="icon" viewBox="0 0 20 20" aria-hidden="true" focusable="false">
  <path d=${d} fill=${filled ? 'currentColor' : 'none'} stroke=${filled ? 'none' : 'currentColor'} />
</svg>`;

/** Drawn for this page, on a grid of 20. */
export const icons = {
  play: icon('M6 3.8v12.4L16.2 10z', true),
  pause: icon('M5.5 4h3v12h-3zM11.5 4h3v12h-3z', true),
  before: icon('M12 4.5 6.5 10l5.5 5.5'),
  after: icon('M8 4.5 13.5 10 8 15.5'),
  loop: icon(
    'M4 9a5 5 0 0 1 5-4h6m-2.5-2.5L15 5l-2.5 2.5M16 11a5 5 0 0 1-5 4H5m2.5 2.5L5 15l2.5-2.5',
  ),
  undo: icon('M7 4 3.5 7.5 7 11M4 7.5h7.5a4.5 4.5 0 0 1 0 9H8'),
  redo: icon('m13 4 3.5 3.5L13 11m3-3.500H8.500a4.5 4.5 0 0 0 0 9H12'),
  bead: icon('M10 5.500a4.5 4.5 0 1 0 0 9 4.5 4.5 0 0 0 0-9zM1 10h4.500M14.5 10H19'),
  mark: icon(
    'M10 18s5.5-5.200 5.5-10a5.5 5.5 0 0 0-11 0c0 4.800 5.5 10 5.5 10zm0-8.200a2 2 0 1 0 0-4 2 2 0 0 0 0 4z',
  ),
  level: icon('M2 10h5m6 0h5M10 7a3 3 0 1 0 0 6 3 3 0 0 0 0-6z'),
  close: icon('m5 5 10 10M15 5 5 15'),
  day: icon(
    'M10 6.500a3.5 3.5 0 1 0 0 7 3.5 3.5 0 0 0 0-7zM10 1.500v2M10 16.500v2M1.5 10h2M16.5 10h2M4 4l1.400 1.400M14.600 14.600 16 16M4 16l1.400-1.400M14.600 5.400 16 4',
  ),
  night: icon('M16.5 12A7 7 0 0 1 8 3.500a7 7 0 1 0 8.5 8.500z'),
  text: icon('M4 5h12M4 10h8M4 15h10'),
  keys: icon(
    'M2.5 5.500h15v9h-15zM5.5 8.500h.01M8.5 8.500h.01M11.5 8.500h.01M14.5 8.500h.01M6.5 11.800h7',
  ),
  copy: icon('M7 7V3.500h9.500V13H13M3.5 7H13v9.500H3.500z'),
  bin: icon('M3.5 5.500h13M8 5.500V3.500h4v2M5.5 5.500l.8 11h7.400l.8-11M8.5 8.500v5M11.5 8.500v5'),
} as const;

/** A little planet with its horizon and one balloon. */
export const emblem = html`<svg class="emblem" viewBox="0 0 28 28" aria-hidden="true" focusable="false">
  <circle cx="14" cy="15.5" r="8.5" class="emblem-ball" />
  <path d="M5.700 14c3-1.800 5.5 1 8.600-.2s5-2.400 8-.6" class="emblem-line" />
  <circle cx="20.5" cy="4.5" r="2.5" class="emblem-balloon" />
</svg>`;
