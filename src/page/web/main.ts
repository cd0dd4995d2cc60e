import type { PageData } from '../types.js';
import { addControls, wordsOf } from './controls.js';
import { element } from './elements.js';
import { showFlat } from './flat.js';
import { Stage, type StageState } from './stage.js';
import './page.css';

/** Milliseconds that a note stays. */
const STAYS = 6000;

const data = JSON.parse(document.getElementById('data')!.textContent) as PageData;
const page = document.getElementById('page')!;
const calm = matchMedia('(prefers-reduced-motion: reduce)');

const canvas = element('canvas', {
  id: 'picture',
  tabindex: '0',
  role: 'application',
  'aria-label': `${data.title}: a picture of everything around one place. Arrow keys look around, plus and minus zoom, H tells all keys.`,
});
const whispered = element('p', { role: 'status', class: 'unseen' });
const note = element('p', { id: 'note', role: 'status' });
const main = element('main', {}, canvas, whispered, note);
page.append(main);

let timer: ReturnType<typeof setTimeout> | undefined;
function tell(sentence: string): void {
  note.textContent = sentence;
  clearTimeout(timer);
  timer = setTimeout(() => note.replaceChildren(), STAYS);
}

const whisper = (sentence: string): void => {
  if (whispered.textContent !== sentence) whispered.textContent = sentence;
};

async function begin(): Promise<void> {
  let show = (_: StageState): void => {};
  let stage: Stage;
  try {
    stage = new Stage(
      canvas,
      data,
      () => calm.matches,
      (state) => show(state),
    );
  } catch (error) {
    main.append(element('div', { id: 'over' }, wordsOf(data)));
    note.textContent = `${(error as Error).message} Here it is flat.`;
    return showFlat(canvas, data);
  }
  show = addControls(page, data, stage, { tell, whisper });
  await stage.open();
}

void begin();
