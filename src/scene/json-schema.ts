import { z } from 'zod';
import { fileSchema } from './shots/schema.js';

/** What a file must say: of one shot by keyframes or by moves, or of several. */
const NEEDED = [['master', 'duration', 'keyframes'], ['master', 'moves'], ['shots']];

/** The scene file's JSON Schema (draft 7, which editors know best), for completion and checks as one types. */
export const sceneJsonSchema = (): object => ({
  ...z.toJSONSchema(fileSchema, { io: 'input', target: 'draft-7' }),
  anyOf: NEEDED.map((required) => ({ required })),
});
