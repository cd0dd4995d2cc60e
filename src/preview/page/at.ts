import { noChange } from 'lit';
import { Directive, directive, type ElementPart } from 'lit/directive.js';

type Style = Readonly<Record<string, string>>;

/**
 * Sets styles of an element: `<div ${at({ left: '10%' })}>`. Through its style object: the page's security
 * policy allows no style attributes.
 */
class At extends Directive {
  override render(_: Style): unknown {
    return noChange;
  }

  override update({ element }: ElementPart, [style]: [Style]): unknown {
    for (const [name, value] of Object.entries(style)) {
      (element as HTMLElement).style.setProperty(name, value);
    }
    return noChange;
  }
}

export const at = directive(At);
