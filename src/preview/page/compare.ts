import { html, type TemplateResult } from 'lit';

/** More lines than this are shown without their differences. */
const MOST = 1500;

/** Two texts side by side, the lines that only one of them has marked. */
export function compared(mine: string, theirs: string): TemplateResult {
  const [left, right] = [mine.split('\n'), theirs.split('\n')];
  const [inLeft, inRight] = common(left, right);
  const column = (
    title: string,
    id: string,
    lines: readonly string[],
    shared: ReadonlySet<number>,
  ) =>
    html`<section class="version"><h3>${title}</h3><pre id=${id} tabindex="0" aria-label=${title}>${lines.map(
      (line, index) => html`<span class=${shared.has(index) ? 'same' : 'differs'}>${line}
</span>`,
    )}</pre></section>`;
  return html`<div class="versions">${column('In this page', 'version-mine', left, inLeft)} ${column('On disk', 'version-disk', right, inRight)}</div>`;
}

/** The lines of either that belong to a longest common sequence. */
function common(a: readonly string[], b: readonly string[]): [Set<number>, Set<number>] {
  const [inA, inB] = [new Set<number>(), new Set<number>()];
  if (a.length > MOST || b.length > MOST) return [inA, inB];
  const width = b.length + 1;
  const lengths = new Uint16Array((a.length + 1) * width);
  for (let i = a.length - 1; i >= 0; i--) {
    for (let j = b.length - 1; j >= 0; j--) {
      lengths[i * width + j] =
        a[i] === b[j]
          ? lengths[(i + 1) * width + j + 1]! + 1
          : Math.max(lengths[(i + 1) * width + j]!, lengths[i * width + j + 1]!);
    }
  }
  for (let i = 0, j = 0; i < a.length && j < b.length; ) {
    if (a[i] === b[j]) {
      inA.add(i++);
      inB.add(j++);
    } else if (lengths[(i + 1) * width + j]! >= lengths[i * width + j + 1]!) i++;
    else j++;
  }
  return [inA, inB];
}
