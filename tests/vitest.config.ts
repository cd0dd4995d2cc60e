import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    root: new URL('..', import.meta.url).pathname,
    include: ['tests/**/*.test.ts'],
    // Nothing is kept in the folder of whoever runs them.
    env: { ORBREEL_CACHE: 'off' },
    globalSetup: 'tests/support/page.ts',
    // Software rendering and ffmpeg keep all cores busy; a machine under load must not fail a test.
    testTimeout: 120_000,
    hookTimeout: 120_000,
    pool: 'forks',
    maxWorkers: 2,
  },
});
