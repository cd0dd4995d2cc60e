import { z } from 'zod';
import { says, text } from '../fields.js';
import { outputGroup, sceneSchema } from '../schema.js';
import { transitionField } from './transition.js';

/** Fields that hold for the whole clip: they stand at the top of the file, never in a shot. */
export const OF_THE_CLIP: readonly string[] = ['$schema', 'fps', 'outputs', 'sound'];

const MOST_WRITTEN = 200;

/** A scene's field in a shot: it may be left out, and its default is what the file says at its top. */
function inShot(name: string, field: z.ZodType): z.ZodType {
  const { description = '', ...meta } = field.meta() ?? {};
  const bare = field instanceof z.ZodPrefault ? (field.unwrap() as z.ZodType) : field;
  const said = description.replace(/\s*Default: .*$/u, '').replace('the clip', 'the shot');
  const usual = name === 'duration' ? '' : " Default: the file's.";
  return bare.optional().meta({ ...meta, description: said + usual });
}

/** Only what a shot may leave to the file, so the fields' own types stay. */
const sceneFields = Object.fromEntries(
  Object.entries(sceneSchema.shape)
    .filter(([name]) => !OF_THE_CLIP.includes(name))
    .map(([name, field]) => [name, inShot(name, field)]),
);

export const overrideGroup = outputGroup.omit({ file: true });

export const shotSchema = z
  .strictObject(
    {
      ...sceneFields,
      scene: text('takes the path of another scene file')
        .optional()
        .meta({
          title: 'Scene',
          description:
            'Another scene file, relative to this one, in place of fields: its shot or shots, in this file’s outputs and frame rate. Beside it stands at most transition.',
          examples: ['lake.yaml'],
        }),
      overrides: z
        .array(overrideGroup, says('takes a list of groups with shape and keyframes'))
        .min(1)
        .max(20)
        .optional()
        .meta({
          title: 'Overrides',
          description:
            'Keyframes, or a background, for this shot in one of the file’s outputs only, named by its shape.',
        }),
      transition: transitionField.optional(),
    },
    says("takes a group of fields: 'master', 'duration', 'keyframes', or 'scene'"),
  )
  .meta({
    id: 'shot',
    title: 'Shot',
    description: 'One shot: what a scene of its own would say, or the file of one.',
  });

const { master } = sceneSchema.shape;

/** A scene file of one shot or of several, as editors complete it. */
export const fileSchema = z
  .strictObject({
    ...sceneSchema.shape,
    master: master.optional().meta(master.meta()!),
    shots: z
      .array(shotSchema, says('takes a list of shots, at least one'))
      .min(1)
      .max(MOST_WRITTEN)
      .optional()
      .meta({
        title: 'Shots',
        description:
          'Several shots, one after the other, in place of one. What the file says beside them is what they have where they say nothing themselves; duration, when it is given, is checked against their sum.',
      }),
  })
  .meta(sceneSchema.meta()!);

export type FileFields = z.output<typeof fileSchema>;
/** Of the scene's fields only those that were written. */
export type ShotFields = z.output<typeof shotSchema> & Readonly<Record<string, unknown>>;
