// A ball of radius 1 before the master, which is infinitely far; directions are the world's. Twin of
// src/camera/ball.ts.
uniform vec4 ball;       // unit direction of its centre, and how many radii away that is
uniform float ballIndex; // of refraction
uniform vec3 ballTint;   // linear

// A ray that meets the ball or, beyond its rim, the one beside it that grazes it.
struct BallMeeting {
  vec3 ray;
  vec3 towards; // square to the ray, towards the ball's centre, as long as `sine`
  float sine;   // of the angle of incidence: how far the ray passes the centre
  float cosine;
  float ahead;  // how far along the ray the centre lies
  float inward; // how far within the rim the ray passes; negative outside
};

// One way that light takes, turned by delta towards the centre in the plane of ray and centre.
struct BallTurn {
  float cosine;     // of delta
  float sineToSine; // sine of delta over the meeting's
  float slope;      // of delta over the meeting's sine
};

BallMeeting ballMeeting(vec3 ray) {
  // By the difference of the two unit vectors, which is exact for small balls too.
  vec3 apart = ball.xyz - ray;
  float behind = 0.5 * dot(apart, apart);
  vec3 towards = (apart + behind * ray) * ball.w;
  float offset = length(towards);
  float ahead = (1.0 - behind) * ball.w;
  float sine = min(offset, 1.0);
  return BallMeeting(
    ray,
    towards * min(1.0, 1.0 / max(offset, 1e-9)),
    sine,
    sqrt(1.0 - sine * sine),
    ahead,
    ahead > 0.0 ? 1.0 - offset : -1e9
  );
}

vec3 ballDirection(BallMeeting at, BallTurn turn) {
  return normalize(at.ray * turn.cosine + at.towards * turn.sineToSine);
}

// How many times faster than the ray the direction turns, away from the ball's middle and round it.
vec2 ballStretch(BallMeeting at, BallTurn turn) {
  return abs(vec2(1.0 - at.ahead * turn.slope, turn.cosine - at.ahead * turn.sineToSine));
}

// `bend` is 1 / cosine: infinite at the rim, so that whoever asks for a pixel's stretch limits it.
BallTurn ballReflected(BallMeeting at, float bend) {
  return BallTurn(2.0 * at.sine * at.sine - 1.0, -2.0 * at.cosine, 2.0 * bend);
}

// Schlick, Computer Graphics Forum 13(3), 1994, 233-246.
vec3 ballSchlick(vec3 straight, float cosine) {
  float away = 1.0 - cosine;
  float away2 = away * away;
  return straight + (1.0 - straight) * away2 * away2 * away;
}

#ifdef BALL_GLASS
// Cosine of the angle of refraction; 0 where nothing enters.
float ballWithin(BallMeeting at) {
  float sine = at.sine / ballIndex;
  return sqrt(max(0.0, 1.0 - sine * sine));
}

// In the thinner medium, so that a bubble reflects all where nothing can enter.
float ballReflectance(BallMeeting at, float within) {
  float straight = (1.0 - ballIndex) / (1.0 + ballIndex);
  return ballSchlick(vec3(straight * straight), ballIndex < 1.0 ? within : at.cosine).x;
}

// Sine, over the meeting's, and cosine of i - r.
vec2 ballBent(BallMeeting at, float within) {
  return vec2(
    within - at.cosine / ballIndex,
    at.cosine * within + at.sine * at.sine / ballIndex
  );
}

// Bent twice: 2 (i - r). `bendWithin` is 1 / (index within).
BallTurn ballThrough(BallMeeting at, float within, float bend, float bendWithin) {
  vec2 bent = ballBent(at, within);
  return BallTurn(2.0 * bent.y * bent.y - 1.0, 2.0 * bent.x * bent.y, 2.0 * bend - 2.0 * bendWithin);
}

// And reflected once between: pi - 2 r more.
BallTurn ballReturned(BallMeeting at, float within, float bend, float bendWithin) {
  vec2 bent = ballBent(at, within);
  vec2 twice = vec2(
    bent.x * within - bent.y / ballIndex,
    bent.y * within + at.sine * at.sine * bent.x / ballIndex
  );
  return BallTurn(
    1.0 - 2.0 * twice.y * twice.y,
    -2.0 * twice.x * twice.y,
    2.0 * bend - 4.0 * bendWithin
  );
}
#endif
