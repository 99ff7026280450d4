/**
 * What is wrong: a trace damped flat, ringing, not there at all, or its numbers wander; or the line neither draws nor flushes
 * as it should, whether it has a trace or not.
 */
export const faultSigns = ['flat', 'spiky', 'none', 'drifting', 'blocked'] as const;
/** One thing that can be wrong with a line; `faultSigns` says what each is. */
export type FaultSign = (typeof faultSigns)[number];

/** Where to look, in the trade's order: from the animal outwards (common practice, no source). */
export const faultPlaces = [
  'patient',
  'catheter',
  'tap',
  'tubing',
  'source',
  'transducer',
  'monitor',
] as const;
/** Where to look. */
export type FaultPlace = (typeof faultPlaces)[number];

/** What is looked at, once in a path; how it is asked depends on the sign too. */
export type FaultQuestionId =
  | 'patient'
  | 'limb'
  | 'moves'
  | 'joined'
  | 'lost'
  | 'kink'
  | 'hub'
  | 'draw'
  | 'tap'
  | 'tubing'
  | 'source'
  | 'level'
  | 'zero'
  | 'monitor';

/**
 * One answer to a question and where it leads. `lost`: it says that the line had come apart, and how much blood was lost, mL,
 * as far as somebody can guess.
 */
export type FaultAnswer = { id: string; lost?: { ml?: number } } & (
  | { leads: 'next' }
  /** Something was put right: is it solved? */
  | { leads: 'fixed' }
  /** The path ends here and the clinician hears of it. */
  | { leads: 'clinician' }
);

/** One thing to look at, answerable with one hand. `id` is unique in its path. */
export interface FaultQuestion {
  id: FaultQuestionId;
  place: FaultPlace;
  answers: readonly FaultAnswer[];
  /** Asked only where this answer was given to that question of the same path. */
  after?: { question: FaultQuestionId; answer: string };
}

/** An answer that rules its question out and goes on to the next. */
const next = (id: string): FaultAnswer => ({ id, leads: 'next' });
/** An answer that put something right: whether that solved it is asked next. */
const fixed = (id: string): FaultAnswer => ({ id, leads: 'fixed' });
/** An answer that ends the path: the clinician is called. */
const call = (id: string): FaultAnswer => ({ id, leads: 'clinician' });

/** The animal first, whatever the trace does. */
export const patient: FaultQuestion = {
  id: 'patient',
  place: 'patient',
  answers: [next('well'), call('bad'), call('unsure')],
};

/** The site and the part below it. For every sign. */
export const limb: FaultQuestion = {
  id: 'limb',
  place: 'catheter',
  answers: [next('good'), call('amiss')],
};

/** Whether the spikes come of the limb or the tubing moving. */
export const moves: FaultQuestion = {
  id: 'moves',
  place: 'catheter',
  answers: [next('still'), fixed('rested')],
};

/** Whether catheter and tubing are still joined. */
export const joined: FaultQuestion = {
  id: 'joined',
  place: 'catheter',
  answers: [next('joined'), next('rejoined'), call('out')],
};

/** Blood lost that can be chosen, mL. */
export const guessedMl = [2, 5, 10, 20] as const;

/** Asked only of a line that had come apart: how much it bled, counted with the samples of the day. */
export const bloodLost: FaultQuestion = {
  id: 'lost',
  place: 'catheter',
  after: { question: 'joined', answer: 'rejoined' },
  answers: [
    { ...fixed('none'), lost: { ml: 0 } },
    ...guessedMl.map((ml) => ({ ...fixed(`${ml} mL`), lost: { ml } })),
    { ...call('more'), lost: {} },
  ],
};

/** The catheter and the limb it lies in. */
export const kink: FaultQuestion = {
  id: 'kink',
  place: 'catheter',
  answers: [next('straight'), fixed('freed'), call('out')],
};

/** Clamp, tap and cap at the hub. */
export const hub: FaultQuestion = { id: 'hub', place: 'catheter', answers: [next('free'), fixed('freed')] };

/** Whether blood comes back: an open tip, or a clot. */
export const draw: FaultQuestion = {
  id: 'draw',
  place: 'catheter',
  answers: [next('freely'), fixed('cleared'), call('resists')],
};

/** The same of a line that seemed blocked: drawing freely may be what solved it. */
export const drawBlocked: FaultQuestion = {
  ...draw,
  answers: [fixed('freely'), fixed('cleared'), call('resists')],
};

/** The taps. */
export const tap: FaultQuestion = { id: 'tap', place: 'tap', answers: [next('right'), fixed('turned')] };

/** The tubing. */
export const tubing: FaultQuestion = {
  id: 'tubing',
  place: 'tubing',
  answers: [next('clear'), fixed('righted')],
};

/** What the line is flushed from. */
export const source: FaultQuestion = {
  id: 'source',
  place: 'source',
  answers: [next('good'), fixed('righted'), next('by hand')],
};

/** The transducer’s height: 1 cm is 0.74 mmHg. */
export const level: FaultQuestion = {
  id: 'level',
  place: 'transducer',
  answers: [next('level'), fixed('moved')],
};

/** What the transducer shows open to air, mmHg: 0, or it has drifted. */
export const zero: FaultQuestion = {
  id: 'zero',
  place: 'transducer',
  answers: [next('zero'), fixed('zeroed'), next('not')],
};

/** Cable, channel, scale and filter. Asked last. */
export const monitor: FaultQuestion = {
  id: 'monitor',
  place: 'monitor',
  answers: [next('right'), fixed('righted')],
};
