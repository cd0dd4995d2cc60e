import { html, nothing, type TemplateResult } from 'lit';
import type { App } from './app.js';

/** The scene's text, to read and to mend; its mistakes stand beside their lines. */
export function textEditor({ store, actions }: App, close: () => void): TemplateResult {
  const { server, connection } = store.shown;
  const text = server?.text ?? '';
  const problems = server?.problems ?? [];
  const lines = text.split('\n').length;
  const bad = new Set(problems.map(({ line }) => line));
  const area = () => document.querySelector<HTMLTextAreaElement>('#scene-text')!;
  return html`<h2 id="dialog-title">The text of ${server?.name}</h2>
    ${
      problems.length === 0
        ? nothing
        : html`<ul class="mistakes" id="mistakes">${problems.map(
            ({ line, column, path, message }) => html`<li>
      <button class="link" @click=${() => goTo(area(), line, column)}>${line > 0 ? `line ${line}` : 'scene'}</button> ${path === '' ? nothing : html`<code>${path}</code> `}${message}</li>`,
          )}</ul>`
    }
    <div class="editor">
      <pre class="line-numbers" aria-hidden="true">${Array.from(
        { length: lines },
        (_, index) => html`<span class=${bad.has(index + 1) ? 'bad' : ''}>${index + 1}
</span>`,
      )}</pre>
      <textarea id="scene-text" aria-label="Text of the scene" spellcheck="false" wrap="off" rows="18" .value=${text} autofocus
        @scroll=${(event: Event) => {
          const { scrollTop, previousElementSibling } = event.target as HTMLElement;
          previousElementSibling!.scrollTop = scrollTop;
        }}></textarea>
    </div>
    <div class="row end"><button class="quiet" @click=${close}>Close</button>
      <button class="strong" id="apply-text" ?disabled=${connection !== 'on'} @click=${() => actions.ask('text', { text: area().value }, 'Took the text.')}>Use this text</button></div>`;
}

/** Puts the caret to a place and the place into view. */
function goTo(area: HTMLTextAreaElement, line: number, column: number): void {
  const lines = area.value.split('\n');
  const at =
    lines.slice(0, line - 1).join('\n').length + (line > 1 ? 1 : 0) + Math.max(0, column - 1);
  area.focus();
  area.setSelectionRange(at, at);
  area.scrollTop = (area.scrollHeight * Math.max(0, line - 4)) / Math.max(1, lines.length);
}
