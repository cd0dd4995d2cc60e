/** Writes scenes/scene.schema.json anew: `npx tsx tests/scene/write-schema.ts`. */
import { writeFileSync } from 'node:fs';
import { sceneJsonSchema } from '../../src/scene/json-schema.js';

const file = new URL('../../scenes/scene.schema.json', import.meta.url);
writeFileSync(file, `${JSON.stringify(sceneJsonSchema(), null, 2)}\n`);
