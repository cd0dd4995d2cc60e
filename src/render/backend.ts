import { spawnSync } from 'node:child_process';
import { existsSync, readdirSync, symlinkSync } from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';
import { startDisplay } from './display.js';

/** What ANGLE draws through. */
export type BackendKind = 'vulkan' | 'display' | 'own display' | 'native';

export interface Backend {
  readonly kind: BackendKind;
  /** Undoes the set-up when no context could be opened on it. */
  release(): void;
}

const keep = () => {};

/**
 * Sets this process up so that the `gl` addon finds something to draw on: a Vulkan GPU where there is
 * one, else the display, else an X server of our own. Call it before the addon loads.
 * ORBREEL_GL=vulkan or ORBREEL_GL=display takes the choice from it.
 *
 * @throws WorkError when there is neither a display nor an X server to start one.
 */
export async function prepareBackend(): Promise<Backend> {
  if (process.platform !== 'linux') return { kind: 'native', release: keep };
  const wish = process.env.ORBREEL_GL;
  if (wish === 'vulkan') linkVulkanLoader();
  if (wish === 'vulkan' || (wish !== 'display' && hasVulkanGpu())) {
    process.env.ANGLE_DEFAULT_PLATFORM = 'vulkan';
    return { kind: 'vulkan', release: keep };
  }
  if (process.env.DISPLAY) return { kind: 'display', release: keep };
  const display = await startDisplay();
  process.env.DISPLAY = display.name;
  return {
    kind: 'own display',
    release: () => {
      delete process.env.DISPLAY;
      display.stop();
    },
  };
}

/** Whether a graphics card and a Vulkan driver for it are here; software drivers do not count. */
function hasVulkanGpu(): boolean {
  if (!hasGraphicsCard() || !linkVulkanLoader()) return false;
  // Only trying tells whether the driver works, and a driver that crashes must not take us along.
  const probe = spawnSync(process.execPath, ['-e', PROBE], {
    cwd: path.dirname(addonFolder()),
    env: { ...process.env, ANGLE_DEFAULT_PLATFORM: 'vulkan' },
    encoding: 'utf8',
    timeout: 15_000,
  });
  return probe.status === 0;
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
