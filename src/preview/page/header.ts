import { html, nothing, type TemplateResult } from 'lit';
import type { App } from './app.js';
import { emblem, icons } from './icons.js';

/** What is open, whether it is saved, and what concerns the whole scene. */
export function header({ store, actions }: App): TemplateResult {
  const { server, theme, connection } = store.shown;
  const off = connection !== 'on' || server === undefined;
  const themes = { auto: 'light', light: 'dark', dark: 'auto' } as const;
  const themeNames = { auto: 'as the system has it', light: 'light', dark: 'dark' };
  return html`<header class="top">
    <div class="title">
      ${emblem}
      <h1><span class="maker">Orbreel</span> <span class="scene-name">${server?.name ?? ''}</span></h1>
      ${server === undefined ? nothing : savedness(server)}
    </div>
    <div class="tools" role="toolbar" aria-label="The scene">
      <button class="plain" ?disabled=${off || server.undo === undefined} @click=${() => actions.undo(-1)}
        aria-label=${server?.undo === undefined ? 'Undo' : `Undo: ${server.undo}`}
        title=${server?.undo === undefined ? 'Nothing to undo' : `Undo ${server.undo} (Ctrl+Z)`}>${icons.undo}</button>
      <button class="plain" ?disabled=${off || server.redo === undefined} @click=${() => actions.undo(1)}
        aria-label=${server?.redo === undefined ? 'Redo' : `Redo: ${server.redo}`}
        title=${server?.redo === undefined ? 'Nothing to redo' : `Redo ${server.redo} (Ctrl+Shift+Z)`}>${icons.redo}</button>
      <button class="plain" @click=${() => store.set({ dialog: 'text' })} ?disabled=${server === undefined}
        aria-label="Show the scene's text" title="The scene's text">${icons.text}</button>
      <button class="plain" id="keys-button" @click=${() => store.set({ dialog: 'keys' })}
        aria-label="Show the keys" title="Keys (?)">${icons.keys}</button>
      <button class="plain" @click=${() => store.set({ theme: themes[theme] })}
        aria-label=${`Light and dark: ${themeNames[theme]}`} title=${`Light and dark: ${themeNames[theme]}`}>${theme === 'dark' ? icons.night : icons.day}</button>
      <button class="quiet" id="render-button" ?disabled=${off || server.problems.length > 0} @click=${() => store.set({ dialog: 'render' })}>Render …</button>
      <button class="strong" id="save-button" ?disabled=${off || (server.isSaved && !server.isNew)} @click=${() => actions.save()}
        title="Save (Ctrl+S)">Save</button>
    </div>
  </header>`;
}

function savedness({ isNew, isSaved }: { isNew: boolean; isSaved: boolean }): TemplateResult {
  if (isNew) return html`<span class="chip warm" id="savedness">not saved yet</span>`;
  return isSaved
    ? html`<span class="chip" id="savedness">saved</span>`
    : html`<span class="chip warm" id="savedness">unsaved changes</span>`;
}
