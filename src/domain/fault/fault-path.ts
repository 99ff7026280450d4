import {
  bloodLost,
  draw,
  drawBlocked,
  type FaultQuestion,
  type FaultSign,
  hub,
  joined,
  kink,
  level,
  limb,
  monitor,
  moves,
  patient,
  source,
  tap,
  tubing,
  zero,
} from './fault-questions.ts';

const paths: Readonly<Record<FaultSign, readonly FaultQuestion[]>> = {
  flat: [patient, limb, kink, draw, tap, tubing, source, zero, monitor],
  spiky: [patient, moves, tap, tubing, source, level, monitor],
  none: [patient, joined, bloodLost, limb, draw, tap, tubing, source, zero, monitor],
  drifting: [patient, kink, tap, tubing, source, level, zero, monitor],
  blocked: [patient, limb, kink, hub, drawBlocked],
};

/** The questions for a sign, in the order in which they are asked. */
export function faultPath(sign: FaultSign): readonly FaultQuestion[] {
  return paths[sign];
}
