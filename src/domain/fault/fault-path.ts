import {
  bloodLost,
  call,
  draw,
  type FaultQuestion,
  type FaultSign,
  fixed,
  kink,
  level,
  limb,
  monitor,
  next,
  patient,
  practice,
  source,
  tap,
  tapsOpen,
  tubing,
  tubingWhole,
  zero,
} from './fault-questions.ts';

const paths: Readonly<Record<FaultSign, readonly FaultQuestion[]>> = {
  flat: [
    patient(
      'Leave the line. Feel a pulse elsewhere, look at the gums, take a cuff pressure. Is the patient as before?',
      'A flat trace can be a true one.',
    ),
    limb,
    kink,
    draw,
    tapsOpen,
    tubingWhole,
    source,
    zero,
    monitor,
  ],
  spiky: [
    patient(
      'Leave the line. Feel a pulse, look at the gums, take a cuff pressure. Is the patient as before?',
      'A high systolic can be true: pain, waking, a full bladder. Compare with the cuff; trust the mean.',
    ),
    {
      id: 'moves',
      place: 'catheter',
      asks: 'Watch the limb for a few breaths. Do the spikes come when it moves or the tubing swings?',
      why: 'A tip that whips and tubing that swings add waves of their own.',
      source: practice,
      answers: [
        next('still', 'No, it lies still', 'limb and tubing lie still'),
        fixed('rested', 'Yes; limb rested, tubing fixed now', 'limb rested, tubing fixed'),
      ],
    },
    tap(
      'Look through every tap and joint. A bubble in one, or taps nobody needs?',
      'A small bubble makes the line ring and read too high.',
    ),
    tubing(
      'Look along the tubing. Extensions nobody needs, soft tubing, small bubbles?',
      'Long or soft tubing and small bubbles slow the line, and it rings at the pulse’s own pace.',
      'eight Beagles, tubing of 25 to 275 cm: 38 to 14 Hz; Mark, Atlas of Cardiovascular Monitoring, 1998',
    ),
    source,
    level,
    monitor,
  ],
  none: [
    patient(
      'Leave the line. Feel for a pulse and heartbeat, look at the gums, take a cuff pressure. Is the patient as before?',
      'No trace can be no pulse.',
    ),
    {
      id: 'joined',
      place: 'catheter',
      asks: 'Look at the catheter and where the tubing joins it. In, joined, no bleeding?',
      why: 'A line that came apart bleeds at the pressure of the artery.',
      caution:
        'Bleeding: press on it first. Was it apart? Draw back before you flush, and put a new piece in for each that lay open.',
      source: practice,
      answers: [
        next('joined', 'In and joined', 'catheter in and joined'),
        next('rejoined', 'Was apart; new pieces, drawn back, no air', 'line had come apart, joined again'),
        call('out', 'Out or bleeding: press, call', 'catheter out or bleeding'),
      ],
    },
    bloodLost,
    limb,
    draw,
    tapsOpen,
    tubingWhole,
    source,
    zero,
    monitor,
  ],
  drifting: [
    patient(
      'Leave the line. Feel a pulse, look at the gums, take a cuff pressure. Is the patient as before?',
      'Numbers that wander can be a patient that gets better or worse.',
    ),
    kink,
    tap(
      'Feel each tap and joint. Tight, dry, caps on?',
      'A slow leak lets the pressure fall between flushes.',
    ),
    tubingWhole,
    source,
    level,
    zero,
    monitor,
  ],
  blocked: [
    patient(
      'Leave the line. Feel a pulse elsewhere, look at the gums, take a cuff pressure. Is the patient as before?',
      'A line that gives no blood can lie in an artery with hardly any flow.',
    ),
    limb,
    kink,
    {
      id: 'hub',
      place: 'catheter',
      asks: 'Look from the hub to the cap. Clamp off, tap open to the catheter, cap or connector free of clot?',
      why: 'A closed clamp or tap, or a connector full of clot, blocks a line that is open itself.',
      caution: 'An open hub bleeds: close it or press on the artery before you take a cap off.',
      source: practice,
      answers: [
        next('free', 'Nothing to put right', 'hub, clamp and cap right'),
        fixed('freed', 'Was closed or clotted, is free now', 'clamp, tap or cap put right'),
      ],
    },
    {
      ...draw,
      answers: [
        fixed('freely', 'Freely; flushed back slowly', 'draws freely'),
        ...draw.answers.filter(({ id }) => id !== 'freely'),
      ],
    },
  ],
};

/** The questions for a sign, in the order in which they are asked. */
export function faultPath(sign: FaultSign): readonly FaultQuestion[] {
  return paths[sign];
}
