import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { defineConfig, type Plugin } from 'vite';

const here = (path: string) => fileURLToPath(new URL(path, import.meta.url));

const closedUp = (line: string): string => line.replace(/ ?([-+*/=<>,;{}()?:&|]+) ?/gu, '$1');

/** What pages never define: they show whole masters of one tile, without a ball, one exposure a frame. */
const UNDEFINED = ['BALL', 'EXPOSE', 'MASTER_EXACT', 'MASTER_ONE_TILE', 'MASTER_PART', 'STEPPED'];

/** Leaves out what `#ifdef` of such names keeps from the compiler. */
function defined(lines: readonly string[]): string[] {
  /** The conditions round a line: whether it is one of those, and keeps the line out. */
  const around: { readonly ours: boolean; out: boolean }[] = [];
  return lines.filter((line) => {
    const [, directive, name = ''] = /^#(if|else|endif)(?:def (\w+))?/u.exec(line) ?? [];
    if (directive === 'if') {
      const ours = UNDEFINED.includes(name);
      around.push({ ours, out: ours });
    }
    const last = around.at(-1);
    if (directive === 'else' && last?.ours) last.out = !last.out;
    const isOut = around.some(({ out }) => out);
    if (directive === 'endif') around.pop();
    return !isOut && !(directive !== undefined && last?.ours);
  });
}

/** Shaders without their comments and margins: the page is sent to many people. */
const plainShaders: Plugin = {
  name: 'plain-shaders',
  enforce: 'pre',
  load(id) {
    const file = /^(.*\.(?:glsl|frag|vert))\?raw$/u.exec(id)?.[1];
    if (file === undefined) return undefined;
    const lines = readFileSync(file, 'utf8').split('\n');
    const plain = lines.map((line) => line.replace(/\/\/.*$/u, '').trim()).filter(Boolean);
    const tight = defined(plain).map((line) =>
      line.startsWith('#') ? `\n${line}\n` : closedUp(line),
    );
    return `export default ${JSON.stringify(tight.join(' '))};`;
  },
};

/** gl-matrix fills some of its functions by calling others; those that nobody uses may go all the same. */
const pureMatrices: Plugin = {
  name: 'pure-matrices',
  transform(code, id) {
    if (!/gl-matrix[/\\]esm/u.test(id)) return undefined;
    return code.replaceAll('= function () {', '= /* @__PURE__ */ function () {');
  },
};

/** The script and the style of pages to share: `vite build --config src/page/vite.config.ts`. */
export default defineConfig({
  root: here('web'),
  logLevel: 'warn',
  plugins: [plainShaders, pureMatrices],
  build: {
    outDir: here('../../dist/page/web'),
    emptyOutDir: true,
    target: 'es2022',
    modulePreload: { polyfill: false },
    lib: {
      entry: here('web/main.ts'),
      formats: ['iife'],
      name: 'page',
      fileName: () => 'page.js',
      cssFileName: 'page',
    },
    minify: true,
  },
});
