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

/**
 * One answer to a question: the words on its button, what is said of it afterwards, and where it leads. `lost`: it says that
 * the line had come apart, and how much blood was lost, mL, as far as somebody can guess.
 */
export type FaultAnswer = { id: string; words: string; recordedAs: string; lost?: { ml?: number } } & (
  | { leads: 'next' }
  /** Something was put right: is it solved? */
  | { leads: 'fixed' }
  /** The path ends here and the clinician hears of it, with `recordedAs`. */
  | { leads: 'clinician' }
);

/** One thing to look at, answerable with one hand. `id` is unique in its path; `source` is where it comes from. */
export interface FaultQuestion {
  id: string;
  place: FaultPlace;
  asks: string;
  why: string;
  caution?: string;
  source: string;
  answers: readonly FaultAnswer[];
  /** Asked only where this answer was given to that question of the same path. */
  after?: { question: string; answer: string };
}

/** The source of what every ward does and nobody published. */
export const practice = 'common practice, no source';

/** An answer that rules its question out and goes on to the next. */
export const next = (id: string, words: string, recordedAs: string): FaultAnswer => ({
  id,
  words,
  recordedAs,
  leads: 'next',
});
/** An answer that put something right: whether that solved it is asked next. */
export const fixed = (id: string, words: string, recordedAs: string): FaultAnswer => ({
  id,
  words,
  recordedAs,
  leads: 'fixed',
});
/** An answer that ends the path: the clinician is called. */
export const call = (id: string, words: string, recordedAs: string): FaultAnswer => ({
  id,
  words,
  recordedAs,
  leads: 'clinician',
});

/** The animal first, whatever the trace does. */
export const patient = (asks: string, why: string): FaultQuestion => ({
  id: 'patient',
  place: 'patient',
  asks,
  why,
  caution: 'A patient that looks bad is looked after first; the line waits.',
  source: practice,
  answers: [
    next('well', 'As before: pulse, colour and cuff are good', 'pulse, colour and cuff as before'),
    call('bad', 'Looks bad: call the clinician now', 'patient looks bad'),
    call('unsure', 'Cannot tell: call the clinician', 'patient cannot be judged'),
  ],
});

/** The site and the part below it. For every sign. */
export const limb: FaultQuestion = {
  id: 'limb',
  place: 'catheter',
  asks: 'Look at the site and feel the part below it. Bleeding, swelling, cold, pale?',
  why: 'A clot or a catheter that has slipped shows here, and the limb matters more than the trace.',
  source: practice,
  answers: [
    next('good', 'Nothing amiss', 'site and limb look well'),
    call('amiss', 'Something amiss: call the clinician', 'site or limb looks amiss'),
  ],
};

/** The catheter and the limb it lies in. */
export const kink: FaultQuestion = {
  id: 'kink',
  place: 'catheter',
  asks: 'Straighten the limb and look along the catheter. Bent, pinched by tape, or partly out?',
  why: 'A narrow place slows the fluid and flattens the trace.',
  source: 'mechanics of a fluid column (Fry, Physiol Rev 1960, from memory)',
  answers: [
    next('straight', 'Straight and all the way in', 'catheter straight and in'),
    fixed('freed', 'Was bent or pinched, is free now', 'bent catheter straightened'),
    call('out', 'Partly out: call the clinician', 'catheter partly out'),
  ],
};

/** Said wherever a syringe touches the line. Small openings for small animals: flush arithmetic of human neonatal lines. */
const gently =
  'Draw back first. Never flush hard or against resistance. No air, and no drugs, into an artery. In a cat or a small patient use tenths of a mL, slowly, and record what you take or give.';

/** Whether blood comes back: an open tip, or a clot. */
export const draw: FaultQuestion = {
  id: 'draw',
  place: 'catheter',
  asks: 'At the tap nearest the patient, with a clean syringe: draw back gently. Does blood come freely?',
  why: 'Clot at the tip or a tip against the wall lets neither pressure nor blood through.',
  caution: gently,
  source: practice,
  answers: [
    next('freely', 'Freely; flushed back slowly', 'blood drawn freely'),
    fixed('cleared', 'After a clot or air came out', 'clot or air drawn out'),
    call('resists', 'No blood or it resists: stop, call', 'no blood comes back'),
  ],
};

/** Said of how much blood was lost: counted with the samples of the day. */
const guessed = (ml: number): FaultAnswer => ({
  ...fixed(`${ml} mL`, `About ${ml} mL`, `line had come apart, about ${ml} mL of blood lost`),
  lost: { ml },
});

/** Asked only of a line that had come apart: how much it bled, mL. */
export const bloodLost: FaultQuestion = {
  id: 'lost',
  place: 'catheter',
  asks: 'Look at bedding, swabs and floor. How much blood was lost, as near as you can guess?',
  why: 'A line that came apart bleeds at the pressure of the artery; it counts with what samples took.',
  caution: 'A few mL are much in a small animal: 5 mL are nearly 4 % of the blood of a cat of 2.5 kg.',
  source: 'cat 55 mL/kg: transfusion texts, from memory',
  after: { question: 'joined', answer: 'rejoined' },
  answers: [
    { ...fixed('none', 'None, or a drop', 'line had come apart, no blood lost'), lost: { ml: 0 } },
    ...[2, 5, 10, 20].map(guessed),
    { ...call('more', 'More, or cannot tell: call', 'much blood lost, or nobody can tell'), lost: {} },
  ],
};

/** The taps, asked in the words that fit the sign. */
export const tap = (asks: string, why: string): FaultQuestion => ({
  id: 'tap',
  place: 'tap',
  asks,
  why,
  caution: 'A tap open to air bleeds: close it to the patient before you take a cap off.',
  source: practice,
  answers: [
    next('right', 'Each is right', 'taps right'),
    fixed('turned', 'One was wrong, is right now', 'tap or cap put right'),
  ],
});

/** The taps of a line that shows too little. */
export const tapsOpen = tap(
  'Follow each tap by hand: open from catheter to transducer, closed to the side, caps tight?',
  'A tap left turned after a sample is a common reason for no pressure.',
);

/** The tubing, asked in the words that fit the sign. */
export const tubing = (asks: string, why: string, source = practice): FaultQuestion => ({
  id: 'tubing',
  place: 'tubing',
  asks,
  why,
  caution:
    'Air is drawn out at a tap, away from the patient, never pushed on. Close the tap to the patient before you part a joint.',
  source,
  answers: [
    next('clear', 'Nothing to put right', 'tubing looks well'),
    fixed('righted', 'Put right now', 'tubing put right'),
  ],
});

/** The tubing of a line that shows too little. */
export const tubingWhole = tubing(
  'Run the tubing through your fingers to the transducer. Kink, loose or wet joint, air, blood?',
  'A kink or air damps the trace; a joint that leaks lets pressure out and air in.',
  'large bubbles damp: Mark, Atlas of Cardiovascular Monitoring, 1998',
);

/** What the line is flushed from. */
export const source: FaultQuestion = {
  id: 'source',
  place: 'source',
  asks: 'Look at the flush source. Not empty, tap open, bag at the ward’s pressure, no air in it?',
  why: 'A source at low pressure lets blood come back and clot; an empty one sends air.',
  caution: 'Flush only with what your hospital uses for arteries, labelled as such.',
  source: practice,
  answers: [
    next('good', 'In order', 'flush source in order'),
    fixed('righted', 'Was empty or low, is right now', 'flush source put right'),
    next('by hand', 'None: flushed by hand', 'no source, flushed by hand'),
  ],
};

/** The transducer’s height: 1 cm is 0.74 mmHg. */
export const level: FaultQuestion = {
  id: 'level',
  place: 'transducer',
  asks: 'Look at the transducer. Fixed at the level of the heart, though bed or patient moved?',
  why: 'Each cm too low reads about 0.74 mmHg too high.',
  source: 'hydrostatics; 1 cm of water is 0.7356 mmHg',
  answers: [
    next('level', 'At the heart and fixed', 'transducer at the heart'),
    fixed('moved', 'Was off, is at the heart now', 'transducer put back to the heart'),
  ],
};

/** What the transducer shows open to air, mmHg: 0, or it has drifted. */
export const zero: FaultQuestion = {
  id: 'zero',
  place: 'transducer',
  asks: 'Close the tap to the patient, open the transducer to air. Does the monitor show 0?',
  why: 'A transducer that shows no 0 open to air has drifted, is wet, or has failed.',
  caution: 'Close it to air and open it to the patient again before you go on.',
  source: 'disposable transducers drift by up to 2 mmHg: Gordon, Med Instrum 1987',
  answers: [
    next('zero', 'Shows 0', 'shows 0 open to air'),
    fixed('zeroed', 'Was off, zeroed now', 'zeroed, it was off'),
    next('not', 'Cannot be zeroed', 'cannot be zeroed'),
  ],
};

/** Cable, channel, scale and filter. Asked last. */
export const monitor: FaultQuestion = {
  id: 'monitor',
  place: 'monitor',
  asks: 'Look at cable, channel, scale and filter of the monitor. Plugged in, right, fitting the pressure?',
  why: 'A loose cable or a wrong scale draws a good pressure badly.',
  source: practice,
  answers: [
    next('right', 'All right, nothing found', 'monitor right'),
    fixed('righted', 'Was wrong, is right now', 'cable or setting put right'),
  ],
};
