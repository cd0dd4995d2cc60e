import type { Move, Param } from '../../moves/types.js';
import { oneLine, plainText } from '../starter.js';
import { shortNumber } from '../words.js';
import { usualOf } from './fields.js';
import { starterSequence } from './sample.js';

/**
 * A commented scene of one ready move that renders as it is. `masterPath` is the master's path as seen
 * from the folder where the scene will lie.
 */
export function moveStarter(name: string, masterPath: string, move: Move): string {
  const { title, goodFor, params } = move;
  const seconds = starterSequence([move], 'master').duration;
  return `# ${oneLine(name)}: ${title}
# Good for ${goodFor}.
#
#   orbreel check FILE             says what is in this scene, or what is wrong with it
#   orbreel check FILE --expand    the keyframes that the move comes to, to go on from by hand
#   orbreel still FILE --at 2      one frame, quickly
#   orbreel render FILE            the clip
#   orbreel moves                  all moves, and what can be said of each

# The 360 master (equirectangular, 2:1), relative to this file.
master: ${plainText(masterPath)}

fps: 30

# What to deliver: vertical, portrait, square, landscape, uhd, sphere, or a size such as 1440x1080.
outputs: [vertical]

# What shows where the picture does not reach: blur, transparent, black, white, or a colour in quotes.
background: blur

# Points of interest by name, which moves can look at; orbreel still FILE --guides shows them.
# marks:
#   windmill: { yaw: 34, pitch: -4 }

# One move after the other; each begins where the one before ended.
moves:
  - move: ${move.name}
    for: ${shortNumber(seconds, 1)} # seconds
${Object.entries(params).map(lineOf).join('\n')}
`;
}

/** A place needs something that can be put there, so it waits behind a comment's sign. */
const lineOf = ([name, param]: readonly [string, Param]): string =>
  `    ${param.kind === 'place' ? '# ' : ''}${name}: ${usualOf(param)} # ${unitOf(param)}${param.about}`;

function unitOf(param: Param): string {
  if (param.kind === 'choice') return `${param.options.join(' or ')}: `;
  if (param.kind === 'place') return '';
  if (param.kind === 'number') return `${param.unit} (${param.min} to ${param.max}) `;
  return 'a yaw in degrees, or a mark: ';
}
