// What every part of a frame's program may ask for.
uniform vec2 frameSize;
uniform mat3 rotation;   // camera to world
uniform vec4 background; // encoded rgb and alpha, 0 to 1
uniform vec2 jitter;     // by which all rays of this exposure are moved, in parts of their distance
uniform float exposure;  // the share of its master's light that this exposure brings: 1 / their number

#ifdef EXPOSE
uniform float sourceShare; // of the frame's light, that this master brings: less than 1 in a dissolve
uniform sampler2D earlierLight; // of the exposures drawn before this one
#endif
