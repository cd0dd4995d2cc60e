import { spawnSync } from 'node:child_process';
import {
  chmodSync,
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  symlinkSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it, onTestFinished } from 'vitest';

// @ts-expect-error plain JavaScript, without types
const { checkNode } = await import('../../src/setup/node.mjs');
// @ts-expect-error plain JavaScript, without types
const { upToDate } = await import('../../src/setup/packages.mjs');

const SRC = fileURLToPath(new URL('../../src', import.meta.url));
const LOCKED = { '': {}, 'node_modules/a': { version: '1.0.0', integrity: 'sha512-a' } };

/** What is built for the browser. */
const BUNDLES = [
  'dist/cli/bundled-licences.md',
  'dist/preview/page/index.html',
  'dist/page/web/page.js',
];

/** A clone in which everything is there, with a PATH of its own that holds only what a test puts in. */
function clone() {
  const root = mkdtempSync(join(tmpdir(), 'orbreel-setup-'));
  onTestFinished(() => rmSync(root, { recursive: true, force: true }));
  const bin = join(root, 'bin');
  const write = (name: string, text: string) => {
    mkdirSync(dirname(join(root, name)), { recursive: true });
    writeFileSync(join(root, name), text);
  };
  const tool = (name: string, script = 'exit 0') => {
    write(`bin/${name}`, `#!/bin/sh\necho "${name} $*" >> ${root}/calls\n${script}\n`);
    chmodSync(join(bin, name), 0o755);
  };
  cpSync(join(SRC, 'setup.mjs'), join(root, 'src/setup.mjs'));
  cpSync(join(SRC, 'setup'), join(root, 'src/setup'), { recursive: true });
  write('src/cli/main.ts', '');
  utimesSync(join(root, 'src/cli/main.ts'), 1000, 1000);
  write('dist/cli/main.js', '');
  for (const page of BUNDLES) write(page, '');
  write('package.json', '{ "type": "module" }');
  write('package-lock.json', JSON.stringify({ packages: LOCKED }));
  write('node_modules/.package-lock.json', JSON.stringify({ packages: LOCKED }));
  write('node_modules/gl/build/Release/webgl.node', '');
  write(
    'node_modules/typescript/bin/tsc',
    `require('fs').writeFileSync('dist/cli/main.js', 'compiled');`,
  );
  write('node_modules/typescript/package.json', '{ "type": "commonjs" }');
  write(
    'node_modules/vite/bin/vite.js',
    `for (const page of ${JSON.stringify(BUNDLES)}) require('fs').writeFileSync(page, 'built');`,
  );
  write('node_modules/vite/package.json', '{ "type": "commonjs" }');
  mkdirSync(bin, { recursive: true });
  for (const name of ['env', 'sh', 'touch', 'chmod', 'mkdir', 'cp']) {
    const path = ['/usr/bin', '/bin'].map((folder) => join(folder, name)).find(existsSync);
    symlinkSync(path!, join(bin, name));
  }
  const setup = (...args: string[]) => {
    const { status, stdout, stderr } = spawnSync(process.execPath, ['src/setup.mjs', ...args], {
      cwd: root,
      encoding: 'utf8',
      env: { PATH: bin },
    });
    const calls = existsSync(join(root, 'calls')) ? readFileSync(join(root, 'calls'), 'utf8') : '';
    return { status, stdout, stderr, calls };
  };
  return { root, write, tool, setup };
}

/** A script that puts programs on the clone's PATH, as apt-get would. */
const brings = (root: string, ...names: string[]) =>
  names.map((name) => `cp ${root}/bin/apt-get ${root}/bin/${name}`).join('\n');

describe.runIf(process.platform === 'linux')('setup', () => {
  it('says nothing and does nothing where all is there', () => {
    const { tool, setup } = clone();
    for (const name of [
      'Xvfb',
      'ffmpeg',
      'ffprobe',
      'exiftool',
      'exiv2',
      'chromium',
      'npm',
      'apt-get',
    ])
      tool(name);
    expect(setup('--test')).toEqual({ status: 0, stdout: '', stderr: '', calls: '' });
  });

  it('names each missing thing and how to get it, and ends with 1', () => {
    const { setup } = clone();
    const { status, stderr } = setup('--test');
    expect(status).toBe(1);
    expect(stderr).toContain('Please install:');
    for (const row of [
      /Xvfb +an X server, to draw without a screen/,
      /ffmpeg +to write clips/,
      /ffprobe +for the tests/,
      /exiftool +for the tests/,
      /exiv2 +for the tests/,
      /chromium +for the tests/,
    ]) {
      expect(stderr).toMatch(row);
    }
    expect(stderr).toMatch(/on Debian: .*xvfb.*ffmpeg libimage-exiftool-perl exiv2 chromium;/);
    expect(stderr).not.toContain('    at ');
  });

  it('asks less where no tests are to be run', () => {
    const { tool, setup } = clone();
    for (const name of ['Xvfb', 'ffmpeg']) tool(name);
    expect(setup().status).toBe(0);
  });

  it.runIf(process.getuid?.() === 0)('as root installs by apt-get, once, what is missing', () => {
    const { root, tool, setup } = clone();
    tool('ffmpeg');
    tool('apt-get', brings(root, 'Xvfb'));
    const { status, stdout, calls } = setup();
    expect(status).toBe(0);
    expect(stdout).toContain('Missing on this system: Xvfb');
    expect(calls).toMatch(/^apt-get .*install -y --no-install-recommends .*xvfb/);
    expect(calls).not.toContain('update');
    expect(calls).not.toContain('ffmpeg');
  });

  it.runIf(process.getuid?.() === 0)('updates apt-get lists where the first try fails', () => {
    const { root, tool, setup } = clone();
    tool('ffmpeg');
    tool(
      'apt-get',
      `case "$*" in
  *update*) touch ${root}/updated ;;
  *) [ -e ${root}/updated ] || exit 100
     ${brings(root, 'Xvfb')} ;;
esac`,
    );
    const { status, calls } = setup();
    expect(status).toBe(0);
    expect(calls.match(/ (install -y|update)/g)).toEqual([' install -y', ' update', ' install -y']);
  });

  it.runIf(process.getuid?.() === 0)('says what to do where apt-get fails', () => {
    const { tool, setup } = clone();
    tool('apt-get', 'exit 100');
    const { status, stderr } = setup();
    expect(status).toBe(1);
    expect(stderr).toMatch(/sudo apt-get install --no-install-recommends .*xvfb.*ffmpeg/);
  });

  it.each([
    ['absent', undefined],
    ['of another version', { 'node_modules/a': { version: '0.9.0', integrity: 'sha512-a' } }],
  ])('installs the npm packages where they are %s', (_, packages) => {
    const { root, write, tool, setup } = clone();
    for (const name of ['Xvfb', 'ffmpeg']) tool(name);
    tool('npm');
    if (packages) write('node_modules/.package-lock.json', JSON.stringify({ packages }));
    else rmSync(join(root, 'node_modules/.package-lock.json'));
    const { status, calls } = setup();
    expect(calls).toBe('npm ci\n');
    expect(status).toBe(0);
  });

  it('says why npm may have failed', () => {
    const { root, tool, setup } = clone();
    for (const name of ['Xvfb', 'ffmpeg', 'python3', 'make', 'g++']) tool(name);
    tool('npm', 'exit 1');
    rmSync(join(root, 'node_modules/.package-lock.json'));
    const { status, stderr, calls } = setup();
    expect(status).toBe(1);
    expect(calls).toBe('npm ci\n');
    expect(stderr).toContain('The npm packages could not be installed');
    expect(stderr).toContain('python3 make g++');
  });

  it.runIf(process.getuid?.() === 0)('brings a compiler where gl could not be installed', () => {
    const { root, tool, setup } = clone();
    for (const name of ['Xvfb', 'ffmpeg', 'make']) tool(name);
    tool('npm', `[ -x ${root}/bin/g++ ] || exit 1`);
    tool('apt-get', brings(root, 'g++', 'python3'));
    rmSync(join(root, 'node_modules/.package-lock.json'));
    const { status, calls } = setup();
    expect(status).toBe(0);
    expect(calls).toMatch(/^npm ci\napt-get .* python3 g\+\+\nnpm ci\n$/);
  });

  it('builds gl again where only its binary is missing', () => {
    const { root, tool, setup } = clone();
    for (const name of ['Xvfb', 'ffmpeg']) tool(name);
    tool('npm', `touch ${root}/node_modules/gl/build/Release/webgl.node`);
    rmSync(join(root, 'node_modules/gl/build/Release/webgl.node'));
    const { status, calls } = setup();
    expect([status, calls]).toEqual([0, 'npm rebuild gl\n']);
  });

  it('compiles where a source is newer than dist, and only then', () => {
    const { root, tool, setup } = clone();
    for (const name of ['Xvfb', 'ffmpeg']) tool(name);
    expect(setup().stdout).toBe('');
    const later = Date.now() / 1000 + 10;
    utimesSync(join(root, 'src/cli/main.ts'), later, later);
    expect(setup().stdout).toContain('Compiling.');
    expect(readFileSync(join(root, 'dist/cli/main.js'), 'utf8')).toBe('compiled');
    for (const page of BUNDLES) expect(readFileSync(join(root, page), 'utf8')).toBe('built');
  });
});

describe('checkNode', () => {
  it.each(['20.19.0', '20.20.2', '22.0.0', '100.1.0'])('takes %s', (version) => {
    expect(() => checkNode(version)).not.toThrow();
  });
  it.each(['18.20.4', '20.18.3', '9.9.9'])('refuses %s', (version) => {
    expect(() => checkNode(version)).toThrow(
      `Orbreel needs Node.js 20.19 or newer, and this is ${version}.`,
    );
  });
});

describe('upToDate', () => {
  const installed = { 'node_modules/a': { version: '1.0.0', integrity: 'sha512-a' } };
  it.each([
    ['the same', LOCKED, installed, true],
    ['nothing installed', LOCKED, undefined, false],
    ['no lock file', undefined, installed, true],
    ['one is missing', { ...LOCKED, 'node_modules/b': { version: '1.0.0' } }, installed, false],
    [
      'an optional one is missing',
      { ...LOCKED, 'node_modules/b': { version: '1.0.0', optional: true } },
      installed,
      true,
    ],
    ['one too many', LOCKED, { ...installed, 'node_modules/b': { version: '1.0.0' } }, false],
    [
      'other bytes',
      LOCKED,
      { 'node_modules/a': { version: '1.0.0', integrity: 'sha512-b' } },
      false,
    ],
  ])('%s: %#', (_, locked, found, expected) => {
    expect(upToDate(locked, found)).toBe(expected);
  });
});
