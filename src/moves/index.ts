import { approachingPlanet } from './approaching-planet.js';
import { ballToView } from './ball-to-view.js';
import { hold } from './hold.js';
import { hoveringBall } from './hovering-ball.js';
import { insideOut } from './inside-out.js';
import { lookAround } from './look-around.js';
import { markToMark } from './mark-to-mark.js';
import { outsideIn } from './outside-in.js';
import { overTheTop } from './over-the-top.js';
import { planetToView } from './planet-to-view.js';
import { pullBack } from './pull-back.js';
import { pushIn } from './push-in.js';
import { tiltUp } from './tilt-up.js';
import { turnTo } from './turn-to.js';
import { turningPlanet } from './turning-planet.js';
import type { Move } from './types.js';
import { unroll } from './unroll.js';
import { viewToBall } from './view-to-ball.js';
import { viewToPlanet } from './view-to-planet.js';

/** All camera moves, in the order in which lists show them. */
export const moves: readonly Move[] = [
  planetToView,
  viewToPlanet,
  turningPlanet,
  approachingPlanet,
  insideOut,
  outsideIn,
  overTheTop,
  lookAround,
  turnTo,
  markToMark,
  pushIn,
  pullBack,
  tiltUp,
  unroll,
  ballToView,
  viewToBall,
  hoveringBall,
  hold,
];

export const moveNames: readonly string[] = moves.map(({ name }) => name);

export const findMove = (name: string): Move | undefined =>
  moves.find((move) => move.name === name);
