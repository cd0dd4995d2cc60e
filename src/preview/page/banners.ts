import { html, nothing, type TemplateResult } from 'lit';
import type { LineProblem, WorkState } from '../protocol.js';
import type { App } from './app.js';
import { icons } from './icons.js';

/** What the user has to know now: connection, mistakes, a changed file, work. */
export function banners(app: App): TemplateResult {
  const { store, actions } = app;
  const { server, connection, refusal, trouble } = store.shown;
  return html`<div class="banners">
    ${connection === 'lost' && server !== undefined ? lost(app) : nothing}
    ${connection === 'refused' ? html`<div class="banner bad" role="alert"><p>${refusal}</p></div>` : nothing}
    ${
      trouble === ''
        ? nothing
        : html`<div class="banner bad" role="alert" id="trouble"><p>${trouble}</p>
      <button class="plain" aria-label="Close this message" @click=${() => store.set({ trouble: '' })}>${icons.close}</button></div>`
    }
    ${
      server?.conflict === undefined
        ? nothing
        : html`<div class="banner warm" role="alert" id="conflict-banner">
      <p>Another program has changed ${server.name}, and this page has changes too.</p>
      <button class="strong" @click=${() => store.set({ dialog: 'conflict' })}>Look at both</button></div>`
    }
    ${server === undefined || server.problems.length === 0 ? nothing : problems(app, server.problems, server.text)}
    ${server?.master.problem === undefined ? nothing : html`<div class="banner bad" role="alert"><p>${server.master.problem}</p></div>`}
    ${server?.note === undefined ? nothing : html`<div class="banner" role="status" id="note"><p>${server.note}</p></div>`}
    ${
      server?.work === undefined || server.work.id === store.shown.workSeen
        ? nothing
        : work(
            server.work,
            () => actions.ask('stop', {}, 'Stopped.'),
            () => store.set({ workSeen: server.work!.id }),
          )
    }
  </div>`;
}

function lost({ store }: App): TemplateResult {
  const { server } = store.shown;
  const unsaved = server !== undefined && !server.isSaved;
  return html`<div class="banner warm" role="alert" id="lost">
    <p>The preview does not answer. ${unsaved ? 'Your unsaved changes are still in this page.' : 'Nothing is lost: everything is saved.'} It goes on by itself when it is back.</p>
    ${unsaved ? html`<a class="button quiet" id="rescue" download=${`rescued-${server.name}`} href=${textLink(server.text)}>Keep a copy</a>` : nothing}
  </div>`;
}

let link: { text: string; href: string } | undefined;

function textLink(text: string): string {
  if (link?.text === text) return link.href;
  if (link !== undefined) URL.revokeObjectURL(link.href);
  link = { text, href: URL.createObjectURL(new Blob([text], { type: 'text/yaml' })) };
  return link.href;
}

/** Mistakes beside the lines that they are in. */
function problems({ store }: App, list: readonly LineProblem[], text: string): TemplateResult {
  const lines = text.split('\n');
  const count = list.length === 1 ? 'a mistake' : `${list.length} mistakes`;
  return html`<div class="banner bad" role="alert" id="problems">
    <div class="problems">
      <p><b>This scene has ${count}.</b> Mend it in the text, or in your editor: the page follows.</p>
      <ul>${list.slice(0, 6).map(
        ({ line, path, message }) => html`<li>
        ${line > 0 ? html`<b>line ${line}</b> ` : nothing}${path === '' ? nothing : html`<code>${path}</code> `}${message}
        ${line > 0 ? html`<pre class="snippet">${lines[line - 1] ?? ''}</pre>` : nothing}</li>`,
      )}</ul>
      ${list.length > 6 ? html`<p>and ${list.length - 6} more</p>` : nothing}
    </div>
    <button class="quiet" @click=${() => store.set({ dialog: 'text' })}>Open the text</button>
  </div>`;
}

function work(
  { what, done, total, state, message }: WorkState,
  stop: () => void,
  close: () => void,
): TemplateResult {
  const share = total > 0 ? done / total : 0;
  const name = message.split(/[/\\]/u).at(-1);
  const said = {
    going: html`<p>Rendering ${what}${total > 1 ? `: ${done} of ${total} frames` : ' …'}</p>`,
    done: html`<p><b>${name}</b> is done. It lies beside the scene.</p>`,
    stopped: html`<p>The rendering was stopped; nothing was left behind.</p>`,
    failed: html`<p>The rendering failed: ${message}</p>`,
  }[state];
  return html`<div class=${`banner ${state === 'failed' ? 'bad' : ''}`} role="status" id="work" data-state=${state}>
    ${said}
    ${
      state === 'going'
        ? html`<progress max="1" .value=${share} aria-label="How far the rendering is"></progress><button class="quiet" @click=${stop}>Stop</button>`
        : html`<button class="plain" aria-label="Close this message" @click=${close}>${icons.close}</button>`
    }
  </div>`;
}
