import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const FOLDER = new URL('../../', import.meta.url);

/** The folder of this package, wherever it is installed. */
export const packageFolder: string = fileURLToPath(FOLDER);

interface PackageFile {
  readonly version: string;
  readonly engines: { readonly node: string };
}

const { version, engines } = JSON.parse(
  readFileSync(new URL('package.json', FOLDER), 'utf8'),
) as PackageFile;

export { version };

/** The oldest Node.js this runs on: `20.19`. */
export const oldestNode: string = engines.node.replace(/^>=/u, '');
