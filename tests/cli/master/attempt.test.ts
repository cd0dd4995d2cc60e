import { describe, expect, it } from 'vitest';
import { attempt } from '../../../src/cli/working.js';
import { InputError, Interrupted } from '../../../src/errors.js';

describe('a stop that was asked for', () => {
  const broken = async () => {
    throw new InputError('valley.jpg: its metadata cannot be read (the program ended)');
  };

  it('is told as such, whatever it broke', async () => {
    const stop = new AbortController();
    await expect(attempt(broken, { signal: stop.signal })).rejects.toThrow('cannot be read');
    stop.abort();
    await expect(attempt(broken, { signal: stop.signal })).rejects.toBeInstanceOf(Interrupted);
  });
});
