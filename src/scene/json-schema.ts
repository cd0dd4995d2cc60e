import { z } from 'zod';
import { sceneSchema } from './schema.js';

/** The scene file's JSON Schema (draft 7, which editors know best), for completion and checks as one types. */
export const sceneJsonSchema = (): object =>
  z.toJSONSchema(sceneSchema, { io: 'input', target: 'draft-7' });
