import { easeNames, easeTakes, parseEase } from './ease.js';
import { nameOr, parsed } from './fields.js';

/** A curve by its name or its control points. */
export const easeField = () =>
  parsed(nameOr(easeNames, '^cubic-bezier\\(.*\\)$', easeTakes), easeTakes, parseEase, easeNames);
