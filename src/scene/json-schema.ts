import { z } from 'zod';
import { sceneSchema } from './schema.js';
import { fileSchema } from './shots/schema.js';

/** What a file of one shot must say. */
const NEEDED = Object.entries(sceneSchema.shape)
  .filter(([, field]) => !field.safeParse(undefined).success)
  .map(([name]) => name);

/** The scene file's JSON Schema (draft 7, which editors know best), for completion and checks as one types. */
export const sceneJsonSchema = (): object => ({
  ...z.toJSONSchema(fileSchema, { io: 'input', target: 'draft-7' }),
  anyOf: [{ required: NEEDED }, { required: ['shots'] }],
});
