import { element } from './elements.js';

const KEYS: readonly (readonly [keys: readonly string[], what: string])[] = [
  [['←', '→', '↑', '↓'], 'look around'],
  [['+', '−'], 'nearer, farther'],
  [['Home'], 'back to the first view'],
  [['P'], 'little planet, and back'],
  [['Space'], 'play the opening, or stop it'],
  [['F'], 'full screen'],
  [['H'], 'these keys'],
];

/** What one can do on the page; opened by `showModal`. */
export function helpDialog(hasMoves: boolean): HTMLDialogElement {
  const rows = KEYS.filter(([[key]]) => hasMoves || key !== 'Space').map(([keys, what]) =>
    element(
      'div',
      {},
      element('dt', {}, ...keys.map((key) => element('kbd', {}, key))),
      element('dd', {}, what),
    ),
  );
  const close = element('button', { type: 'button', class: 'words' }, 'Close');
  const dialog = element(
    'dialog',
    { 'aria-labelledby': 'help-title' },
    element('h2', { id: 'help-title' }, 'Looking around'),
    element(
      'p',
      { class: 'gestures' },
      'Drag the picture to look, pinch or turn the wheel to come nearer; a double click levels the view. Or use the keys:',
    ),
    element('dl', {}, ...rows),
    close,
  );
  close.addEventListener('click', () => dialog.close());
  dialog.addEventListener('click', (event) => {
    if (event.target === dialog) dialog.close();
  });
  return dialog;
}
