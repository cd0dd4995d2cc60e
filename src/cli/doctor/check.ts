/** One thing that the work needs, or that is good to know. */
export interface Check {
  readonly what: string;
  /** `missing`: something cannot be done without it. `note`: it goes without. */
  readonly state: 'ok' | 'note' | 'missing';
  readonly found: string;
  /** How to install it. */
  readonly remedy?: string;
}
