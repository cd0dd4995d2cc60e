import { type PageData, USUAL_TITLE } from '../types.js';
import { Device, mayTellOrientation } from './device.js';
import { button, change, element } from './elements.js';
import { listenToHands, listenToKeys, ZOOM } from './hands.js';
import { helpDialog } from './help.js';
import type { Stage, StageState } from './stage.js';

/** Milliseconds after the last step by which a screen reader is told where one looks. */
const QUIET = 700;

/** In a frame as low as this the words are folded at first. */
const LOW = 480;

/** All that lies over the picture. @returns what shows the stage's state */
export function addControls(
  page: HTMLElement,
  data: PageData,
  stage: Stage,
  say: { tell(sentence: string): void; whisper(sentence: string): void },
): (state: StageState) => void {
  const hasMoves = data.moves.length > 0;
  const help = helpDialog(hasMoves);
  const planet = button('planet', 'Little planet', () => stage.togglePlanet());
  const again = button('again', 'Play the opening', () => stage.play());
  const skip = element('button', { type: 'button', id: 'skip', class: 'words' }, 'Skip');
  skip.addEventListener('click', () => {
    stage.flyToStart();
    stage.canvas.focus();
  });
  const whole = wholeScreen(page);
  const bar = element(
    'div',
    { id: 'bar', role: 'toolbar', 'aria-label': 'Looking around' },
    ...(hasMoves ? [again] : []),
    planet,
    button('farther', 'Farther', () => stage.step({ zoom: ZOOM })),
    button('nearer', 'Nearer', () => stage.step({ zoom: 1 / ZOOM })),
    ...(mayTellOrientation() ? [deviceButton(stage, say.tell)] : []),
    ...(whole === undefined ? [] : [whole.button]),
    button('help', 'Keys and gestures', () => help.showModal()),
  );
  page.querySelector('main')!.append(element('div', { id: 'over' }, wordsOf(data), skip, bar));
  page.append(help);
  listenToHands(stage);
  listenToKeys(stage, {
    h: () => help.showModal(),
    ...(whole === undefined ? {} : { f: whole.toggle }),
    ' ': () => (document.body.dataset.playing === 'true' ? stage.flyToStart() : stage.play()),
  });

  let timer: ReturnType<typeof setTimeout> | undefined;
  return ({ isPlaying, isPlanet, view }) => {
    document.body.dataset.playing = String(isPlaying);
    skip.hidden = !isPlaying;
    again.hidden = isPlaying;
    change(planet, isPlanet ? 'level' : 'planet', isPlanet ? 'Level view' : 'Little planet');
    clearTimeout(timer);
    if (!isPlaying) timer = setTimeout(() => say.whisper(inWords(view)), QUIET);
  };
}

/** Title, caption and credit; what there is to read can be folded away. */
export function wordsOf({ title, caption, credit }: PageData): HTMLElement {
  const heading = element('h1', {}, title);
  if (caption === '' && credit === '') {
    return element(
      'header',
      title === USUAL_TITLE ? { class: 'unseen' } : { id: 'words' },
      heading,
    );
  }
  const lines = [
    ...(caption === '' ? [] : [element('p', {}, caption)]),
    ...(credit === '' ? [] : [element('p', { class: 'credit' }, credit)]),
  ];
  const folded = element('details', {}, element('summary', {}, heading), ...lines);
  folded.open = innerHeight > LOW;
  return element('header', { id: 'words' }, folded);
}

function inWords({ yaw, pitch, fov }: StageState['view']): string {
  const around = Math.round(yaw - 360 * Math.round(yaw / 360));
  const [aside, up] = [Math.abs(around), Math.round(pitch)];
  const where = aside === 0 ? 'ahead' : `${aside} degrees to the ${around > 0 ? 'right' : 'left'}`;
  const tilt = up === 0 ? 'level' : `${Math.abs(up)} degrees ${up > 0 ? 'up' : 'down'}`;
  return `Looking ${where}, ${tilt}; ${Math.round(fov)} degrees wide.`;
}

function deviceButton(stage: Stage, tell: (sentence: string) => void): HTMLButtonElement {
  const device = new Device(stage);
  const show = () => made.setAttribute('aria-pressed', String(device.isOn));
  const made = button('device', 'Look by moving the device', () => {
    if (device.isOn) device.stop();
    else
      void device.start().then((problem) => {
        if (problem !== undefined) tell(problem);
        show();
      });
    show();
  });
  show();
  return made;
}

interface OlderElement extends HTMLElement {
  webkitRequestFullscreen?: () => void;
}
interface OlderDocument extends Document {
  webkitFullscreenElement?: Element | null;
  webkitExitFullscreen?: () => void;
}

/** Undefined where the system has no full screen for pages. */
function wholeScreen(page: OlderElement) {
  const root = document as OlderDocument;
  const enter = page.requestFullscreen ?? page.webkitRequestFullscreen;
  const leave = root.exitFullscreen ?? root.webkitExitFullscreen;
  if (enter === undefined || leave === undefined || document.fullscreenEnabled === false) {
    return undefined;
  }
  const isWhole = () => Boolean(root.fullscreenElement ?? root.webkitFullscreenElement);
  const toggle = () => {
    void Promise.resolve(isWhole() ? leave.call(root) : enter.call(page)).catch(() => {});
  };
  const made = button('whole', 'Full screen', toggle);
  for (const name of ['fullscreenchange', 'webkitfullscreenchange']) {
    root.addEventListener(name, () =>
      change(made, isWhole() ? 'window' : 'whole', isWhole() ? 'Leave full screen' : 'Full screen'),
    );
  }
  return { button: made, toggle };
}
