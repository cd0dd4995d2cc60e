import { stringify } from 'yaml';

export const oneLine = (text: string): string => text.replace(/[\r\n]+/gu, ' ').trim();

/** As YAML writes it. */
export const plainText = (text: string): string =>
  stringify(text, { lineWidth: 0, defaultStringType: 'PLAIN' }).trimEnd();

/**
 * A commented scene that renders as it is: a tiny-planet intro of 8 seconds. `masterPath` is the
 * master's path as seen from the folder where the scene will lie.
 */
export function starterScene(name: string, masterPath: string): string {
  const title = oneLine(name);
  const master = plainText(masterPath);
  return `# ${title}: a tiny-planet intro of 8 seconds.
# The camera hangs above the little planet, turns slowly, then comes down into a level view.
#
#   orbreel check FILE           says what is in this scene, or what is wrong with it
#   orbreel still FILE --at 2    one frame, quickly
#   orbreel render FILE          the clip

# The 360 master (equirectangular, 2:1), relative to this file.
master: ${master}

duration: 8 # seconds
fps: 30

# What to deliver: vertical, portrait, square, landscape, uhd, sphere, or a size such as 1440x1080.
outputs: [vertical]

# yaw    degrees to the right of the master's centre; 360 is one whole turn
# pitch  degrees above the horizon; -90 looks straight down
# roll   degrees that the camera leans clockwise
# fov    degrees seen across the frame's shorter side
# ease   the way to the next keyframe: linear, ease, ease-in, ease-out, ease-in-out, hold
# What a keyframe leaves out goes on its way to the next keyframe that sets it.
keyframes:
${INTRO}`;
}

const INTRO = `  # The little planet, from straight above; yaw turns it until the end.
  - at: 0
    yaw: -140
    pitch: -90
    fov: 300
    projection: stereographic
    ease: cubic-bezier(0.3, 0.5, 0.5, 1)

  # It has come nearer, and begins to open ...
  - at: 20%
    pitch: -90
    fov: 250
    projection: stereographic
    ease: cubic-bezier(0.5, 0, 0.3, 1)

  # ... until the view is level. Set this yaw to what you want to see last.
  - at: 100%
    yaw: 0
    pitch: 0
    fov: 75
    projection: rectilinear
`;
