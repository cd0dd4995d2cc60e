import { noChange } from 'lit';
import { Directive, directive, type PropertyPart } from 'lit/directive.js';
import { setCommittedValue } from 'lit/directive-helpers.js';

/** Fields that are being typed in, of those that are watched. */
const typing = new WeakMap<Element, boolean>();

function watch(field: Element): void {
  typing.set(field, false);
  field.addEventListener('input', () => typing.set(field, true));
  // Entered, or left.
  for (const end of ['change', 'blur']) field.addEventListener(end, () => typing.set(field, false));
}

/**
 * A field's value, for `.value`: what somebody is typing stays as it is, whatever is drawn anew meanwhile; else the
 * field shows the value, also where it was typed over.
 */
export const shown = directive(
  class extends Directive {
    render(value: string): string {
      return value;
    }

    override update(part: PropertyPart, [value]: [string]): unknown {
      const field = part.element as HTMLInputElement;
      if (!typing.has(field)) watch(field);
      if (typing.get(field) || field.value === value) return noChange;
      setCommittedValue(part);
      return value;
    }
  },
);
