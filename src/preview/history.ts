interface Step {
  readonly text: string;
  /** What made this text of the one before. */
  readonly label: string;
}

/** More steps back than anybody takes. */
const MOST = 500;

/** A text with all its earlier and undone states. */
export class History {
  #steps: Step[];
  #now = 0;

  constructor(text: string) {
    this.#steps = [{ text, label: '' }];
  }

  get text(): string {
    return this.#steps[this.#now]!.text;
  }

  /** What undo would take back, and redo bring again. */
  get undoLabel(): string | undefined {
    return this.#now > 0 ? this.#steps[this.#now]!.label : undefined;
  }

  get redoLabel(): string | undefined {
    return this.#steps[this.#now + 1]?.label;
  }

  add(text: string, label: string): void {
    if (text === this.text) return;
    this.#steps = [...this.#steps.slice(0, this.#now + 1), { text, label }].slice(-MOST);
    this.#now = this.#steps.length - 1;
  }

  move(by: 1 | -1): void {
    this.#now = Math.min(this.#steps.length - 1, Math.max(0, this.#now + by));
  }
}
