// What every part of a frame's program may ask for.
uniform vec2 frameSize;
uniform mat3 rotation;   // camera to world
uniform vec4 background; // encoded rgb and alpha, 0 to 1
