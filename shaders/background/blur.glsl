// The picture over an enlarged, strongly blurred view of what the camera looks at.

uniform sampler2D blurredMaster;

// Half the background view's field of view along the frame's shorter side: its tangent.
const float BLUR_REACH = 0.7;

vec4 overBackground(vec3 light, float covered, vec2 at) {
  vec2 point = at * BLUR_REACH * frameSize / min(frameSize.x, frameSize.y);
  vec2 uv = masterPlace(rotation * normalize(vec3(point, -1.0)));
  vec3 behind = lightDecode(texture2D(blurredMaster, uv).rgb);
  return vec4(lightEncode(light + (1.0 - covered) * behind), 1.0);
}
