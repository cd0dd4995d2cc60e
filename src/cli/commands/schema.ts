import { Command } from 'commander';
import { sceneJsonSchema } from '../../scene/json-schema.js';
import { helpAfter } from '../help.js';
import { asJson, print } from '../terminal.js';

export const schemaCommand = (): Command =>
  new Command('schema')
    .description(
      'Print the JSON Schema of scene files, with which editors complete and check them.',
    )
    .addHelpText(
      'after',
      helpAfter({
        examples: ['orbreel schema > scene.schema.json'],
        notes: [
          'A YAML scene names it in its first line,',
          '`# yaml-language-server: $schema=scene.schema.json`; a JSON scene in the field',
          '"$schema". Not instead of `orbreel check`, which also sees how far a fov may go.',
        ],
      }),
    )
    .action(() => print(asJson(sceneJsonSchema())));
