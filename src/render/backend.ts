import { execFile } from 'node:child_process';
import { existsSync, readdirSync, symlinkSync } from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';
import { promisify } from 'node:util';
import { startDisplay } from './display.js';

/** What ANGLE draws through. */
export type BackendKind = 'vulkan' | 'display' | 'own display' | 'native';

export interface Backend {
  readonly kind: BackendKind;
  /** A context was opened on it. */
  keep(): void;
  /** Undoes the set-up when no context could be opened on it. */
  release(): void;
}

const nothing = { keep: () => {}, release: () => {} };

let begun: Promise<Backend> | undefined;

/**
 * `prepareBackend`, once for all contexts of this process. An X server takes a moment to start, so whoever will
 * draw later may call this early; it ends with us if nobody does.
 */
export function beginBackend(): Promise<Backend> {
  begun ??= prepareBackend().catch((error: unknown) => {
    begun = undefined;
    throw error;
  });
  return begun;
}

/**
 * Sets this process up so that the `gl` addon finds something to draw on: a Vulkan GPU where there is
 * one, else the display, else an X server of our own. Call it before the addon loads.
 * ORBREEL_GL=vulkan or ORBREEL_GL=display takes the choice from it.
 *
 * @throws WorkError when there is neither a display nor an X server to start one.
 */
async function prepareBackend(): Promise<Backend> {
  if (process.platform !== 'linux') return { kind: 'native', ...nothing };
  const wish = process.env.ORBREEL_GL;
  if (wish === 'vulkan') linkVulkanLoader();
  if (wish === 'vulkan' || (wish !== 'display' && (await hasVulkanGpu()))) {
    process.env.ANGLE_DEFAULT_PLATFORM = 'vulkan';
    return { kind: 'vulkan', ...nothing };
  }
  if (process.env.DISPLAY) return { kind: 'display', ...nothing };
  const display = await startDisplay();
  process.env.DISPLAY = display.name;
  // With a client it leaves by itself, and must not before.
  process.once('exit', display.stop);
  return {
    kind: 'own display',
    keep: () => process.off('exit', display.stop),
    release: () => {
      delete process.env.DISPLAY;
      begun = undefined;
      process.off('exit', display.stop);
      display.stop();
    },
  };
}

/** Whether a graphics card and a Vulkan driver for it are here; software drivers do not count. */
async function hasVulkanGpu(): Promise<boolean> {
  if (!hasGraphicsCard() || !linkVulkanLoader()) return false;
  // Only trying tells whether the driver works, and a driver that crashes must not take us along.
  const probe = promisify(execFile)(process.execPath, ['-e', PROBE], {
    cwd: path.dirname(addonFolder()),
    env: { ...process.env, ANGLE_DEFAULT_PLATFORM: 'vulkan' },
    timeout: 15_000,
  });
  return probe.then(
    () => true,
    () => false,
  );
}

const PROBE = `
  const gl = require('gl')(1, 1);
  process.exit(gl !== null && gl.getParameter(gl.MAX_TEXTURE_SIZE) > 0 ? 0 : 1);
`;

function hasGraphicsCard(): boolean {
  if (existsSync('/dev/nvidiactl')) return true;
  return (
    existsSync('/dev/dri') && readdirSync('/dev/dri').some((name) => name.startsWith('render'))
  );
}

const LOADER = 'libvulkan.so.1';
const LIBRARY_FOLDERS = [
  '/usr/lib/x86_64-linux-gnu',
  '/usr/lib/aarch64-linux-gnu',
  '/usr/lib64',
  '/usr/lib',
  '/usr/local/lib',
];

function findVulkanLoader(): string | undefined {
  return LIBRARY_FOLDERS.map((folder) => path.join(folder, LOADER)).find(existsSync);
}

function addonFolder(): string {
  return path.dirname(createRequire(import.meta.url).resolve('gl/package.json'));
}

/** ANGLE looks for the Vulkan loader only beside its own libraries: puts it there; false when it can't. */
function linkVulkanLoader(): boolean {
  const link = path.join(addonFolder(), 'build', 'Release', LOADER);
  if (existsSync(link)) return true;
  const loader = findVulkanLoader();
  if (loader === undefined) return false;
  try {
    symlinkSync(loader, link);
    return true;
  } catch {
    return false; // An installation that we may not write to.
  }
}
