// The picture over an enlarged, strongly blurred view of what the camera looks at.

uniform sampler2D blurredMaster;

// Half the background view's field of view along the frame's shorter side: its tangent.
const float BLUR_REACH = 0.7;

vec4 overBackground(vec3 light, float covered, vec2 at) {
  vec2 point = at * BLUR_REACH * frameSize / min(frameSize.x, frameSize.y);
  vec2 place = masterPlace(rotation * normalize(vec3(point, -1.0)));
  return vec4(light + (1.0 - covered) * lightDecode(texture2D(blurredMaster, place).rgb), 1.0);
}
