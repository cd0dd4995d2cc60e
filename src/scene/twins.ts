import type { Report } from './resolve.js';
import type { Output } from './types.js';

/** Outputs that would be written to the same file. */
export function reportTwins(outputs: readonly Output[], report: Report): void {
  for (const [index, output] of outputs.entries()) {
    const first = outputs.findIndex((other) =>
      output.file === undefined
        ? other.file === undefined && other.shape === output.shape
        : other.file === output.file,
    );
    if (first === index) continue;
    if (output.file === undefined) {
      report(
        ['outputs', index],
        `is the same shape as outputs[${first}]; give one a file of its own`,
      );
    } else report(['outputs', index, 'file'], `is the file of outputs[${first}] too`);
  }
}
