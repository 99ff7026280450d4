import { type FaultQuestionId, type FaultSign, guessedMl } from '../../domain/fault/fault-questions.ts';
import { answerOf, type FaultStep, type GivenAnswer, questionOf } from '../../domain/fault/next-question.ts';

/** What is on an answer's button, and what is said of it afterwards. */
type AnswerWords = readonly [button: string, said: string];

/** How a question is asked; `source` is where it comes from. */
export interface QuestionWords {
  asks: string;
  why: string;
  caution?: string;
  source: string;
  /** By the answer's id. */
  answers: Readonly<Record<string, AnswerWords>>;
}

/** The source of what every ward does and nobody published. */
const practice = 'common practice, no source';

const patient: Omit<QuestionWords, 'asks' | 'why'> = {
  caution: 'A patient that looks bad is looked after first; the line waits.',
  source: practice,
  answers: {
    well: ['As before: pulse, colour and cuff are good', 'pulse, colour and cuff as before'],
    bad: ['Looks bad: call the clinician now', 'patient looks bad'],
    unsure: ['Cannot tell: call the clinician', 'patient cannot be judged'],
  },
};

const draw: QuestionWords = {
  asks: 'At the tap nearest the patient, with a clean syringe: draw back gently. Does blood come freely?',
  why: 'Clot at the tip or a tip against the wall lets neither pressure nor blood through.',
  // Small openings for small animals: flush arithmetic of human neonatal lines.
  caution:
    'Draw back first. Never flush hard or against resistance. No air, and no drugs, into an artery. In a cat or a small patient use tenths of a mL, slowly, and record what you take or give.',
  source: practice,
  answers: {
    freely: ['Freely; flushed back slowly', 'blood drawn freely'],
    cleared: ['After a clot or air came out', 'clot or air drawn out'],
    resists: ['No blood or it resists: stop, call', 'no blood comes back'],
  },
};

const tap: QuestionWords = {
  asks: 'Follow each tap by hand: open from catheter to transducer, closed to the side, caps tight?',
  why: 'A tap left turned after a sample is a common reason for no pressure.',
  caution: 'A tap open to air bleeds: close it to the patient before you take a cap off.',
  source: practice,
  answers: {
    right: ['Each is right', 'taps right'],
    turned: ['One was wrong, is right now', 'tap or cap put right'],
  },
};

const tubing: QuestionWords = {
  asks: 'Run the tubing through your fingers to the transducer. Kink, loose or wet joint, air, blood?',
  why: 'A kink or air damps the trace; a joint that leaks lets pressure out and air in.',
  caution:
    'Air is drawn out at a tap, away from the patient, never pushed on. Close the tap to the patient before you part a joint.',
  source: 'large bubbles damp: Mark, Atlas of Cardiovascular Monitoring, 1998',
  answers: {
    clear: ['Nothing to put right', 'tubing looks well'],
    righted: ['Put right now', 'tubing put right'],
  },
};

/** Whatever the sign. */
const always: Readonly<Record<Exclude<FaultQuestionId, 'patient'>, QuestionWords>> = {
  limb: {
    asks: 'Look at the site and feel the part below it. Bleeding, swelling, cold, pale?',
    why: 'A clot or a catheter that has slipped shows here, and the limb matters more than the trace.',
    source: practice,
    answers: {
      good: ['Nothing amiss', 'site and limb look well'],
      amiss: ['Something amiss: call the clinician', 'site or limb looks amiss'],
    },
  },
  moves: {
    asks: 'Watch the limb for a few breaths. Do the spikes come when it moves or the tubing swings?',
    why: 'A tip that whips and tubing that swings add waves of their own.',
    source: practice,
    answers: {
      still: ['No, it lies still', 'limb and tubing lie still'],
      rested: ['Yes; limb rested, tubing fixed now', 'limb rested, tubing fixed'],
    },
  },
  joined: {
    asks: 'Look at the catheter and where the tubing joins it. In, joined, no bleeding?',
    why: 'A line that came apart bleeds at the pressure of the artery.',
    caution:
      'Bleeding: press on it first. Was it apart? Draw back before you flush, and put a new piece in for each that lay open.',
    source: practice,
    answers: {
      joined: ['In and joined', 'catheter in and joined'],
      rejoined: ['Was apart; new pieces, drawn back, no air', 'line had come apart, joined again'],
      out: ['Out or bleeding: press, call', 'catheter out or bleeding'],
    },
  },
  lost: {
    asks: 'Look at bedding, swabs and floor. How much blood was lost, as near as you can guess?',
    why: 'A line that came apart bleeds at the pressure of the artery; it counts with what samples took.',
    caution: 'A few mL are much in a small animal: 5 mL are nearly 4 % of the blood of a cat of 2.5 kg.',
    source: 'cat 55 mL/kg: transfusion texts, from memory',
    answers: {
      none: ['None, or a drop', 'line had come apart, no blood lost'],
      ...Object.fromEntries(
        guessedMl.map((ml) => [
          `${ml} mL`,
          [`About ${ml} mL`, `line had come apart, about ${ml} mL of blood lost`],
        ]),
      ),
      more: ['More, or cannot tell: call', 'much blood lost, or nobody can tell'],
    },
  },
  kink: {
    asks: 'Straighten the limb and look along the catheter. Bent, pinched by tape, or partly out?',
    why: 'A narrow place slows the fluid and flattens the trace.',
    source: 'mechanics of a fluid column: Fry, Physiol Rev 1960, from memory',
    answers: {
      straight: ['Straight and all the way in', 'catheter straight and in'],
      freed: ['Was bent or pinched, is free now', 'bent catheter straightened'],
      out: ['Partly out: call the clinician', 'catheter partly out'],
    },
  },
  hub: {
    asks: 'Look from the hub to the cap. Clamp off, tap open to the catheter, cap or connector free of clot?',
    why: 'A closed clamp or tap, or a connector full of clot, blocks a line that is open itself.',
    caution: 'An open hub bleeds: close it or press on the artery before you take a cap off.',
    source: practice,
    answers: {
      free: ['Nothing to put right', 'hub, clamp and cap right'],
      freed: ['Was closed or clotted, is free now', 'clamp, tap or cap put right'],
    },
  },
  draw,
  tap,
  tubing,
  source: {
    asks: 'Look at the flush source. Not empty, tap open, bag at the ward’s pressure, no air in it?',
    why: 'A source at low pressure lets blood come back and clot; an empty one sends air.',
    caution: 'Flush only with what your hospital uses for arteries, labelled as such.',
    source: practice,
    answers: {
      good: ['In order', 'flush source in order'],
      righted: ['Was empty or low, is right now', 'flush source put right'],
      'by hand': ['None: flushed by hand', 'no source, flushed by hand'],
    },
  },
  level: {
    asks: 'Look at the transducer. Fixed at the level of the heart, though bed or patient moved?',
    why: 'Each cm too low reads about 0.74 mmHg too high.',
    source: 'hydrostatics; 1 cm of water is 0.7356 mmHg',
    answers: {
      level: ['At the heart and fixed', 'transducer at the heart'],
      moved: ['Was off, is at the heart now', 'transducer put back to the heart'],
    },
  },
  zero: {
    asks: 'Close the tap to the patient, open the transducer to air. Does the monitor show 0?',
    why: 'A transducer that shows no 0 open to air has drifted, is wet, or has failed.',
    caution: 'Close it to air and open it to the patient again before you go on.',
    source: 'disposable transducers drift by up to 2 mmHg: Gordon, Med Instrum 1987',
    answers: {
      zero: ['Shows 0', 'shows 0 open to air'],
      zeroed: ['Was off, zeroed now', 'zeroed, it was off'],
      not: ['Cannot be zeroed', 'cannot be zeroed'],
    },
  },
  monitor: {
    asks: 'Look at cable, channel, scale and filter of the monitor. Plugged in, right, fitting the pressure?',
    why: 'A loose cable or a wrong scale draws a good pressure badly.',
    source: practice,
    answers: {
      right: ['All right, nothing found', 'monitor right'],
      righted: ['Was wrong, is right now', 'cable or setting put right'],
    },
  },
};

/** In the words that fit the sign. */
const ofSign: Readonly<
  Record<FaultSign, { patient: QuestionWords } & Partial<Record<FaultQuestionId, QuestionWords>>>
> = {
  flat: {
    patient: {
      ...patient,
      asks: 'Leave the line. Feel a pulse elsewhere, look at the gums, take a cuff pressure. Is the patient as before?',
      why: 'A flat trace can be a true one.',
    },
  },
  spiky: {
    patient: {
      ...patient,
      asks: 'Leave the line. Feel a pulse, look at the gums, take a cuff pressure. Is the patient as before?',
      why: 'A high systolic can be true: pain, waking, a full bladder. Compare with the cuff; trust the mean.',
    },
    tap: {
      ...tap,
      asks: 'Look through every tap and joint. A bubble in one, or taps nobody needs?',
      why: 'A small bubble makes the line ring and read too high.',
    },
    tubing: {
      ...tubing,
      asks: 'Look along the tubing. Extensions nobody needs, soft tubing, small bubbles?',
      why: 'Long or soft tubing and small bubbles slow the line, and it rings at the pulse’s own pace.',
      source:
        'eight Beagles, tubing of 25 to 275 cm: 38 to 14 Hz; Mark, Atlas of Cardiovascular Monitoring, 1998',
    },
  },
  none: {
    patient: {
      ...patient,
      asks: 'Leave the line. Feel for a pulse and heartbeat, look at the gums, take a cuff pressure. Is the patient as before?',
      why: 'No trace can be no pulse.',
    },
  },
  drifting: {
    patient: {
      ...patient,
      asks: 'Leave the line. Feel a pulse, look at the gums, take a cuff pressure. Is the patient as before?',
      why: 'Numbers that wander can be a patient that gets better or worse.',
    },
    tap: {
      ...tap,
      asks: 'Feel each tap and joint. Tight, dry, caps on?',
      why: 'A slow leak lets the pressure fall between flushes.',
    },
  },
  blocked: {
    patient: {
      ...patient,
      asks: 'Leave the line. Feel a pulse elsewhere, look at the gums, take a cuff pressure. Is the patient as before?',
      why: 'A line that gives no blood can lie in an artery with hardly any flow.',
    },
    draw: { ...draw, answers: { ...draw.answers, freely: ['Freely; flushed back slowly', 'draws freely'] } },
  },
};

/** How a question is asked of a line with this sign. */
export function questionWords(sign: FaultSign, id: FaultQuestionId): QuestionWords {
  return id === 'patient' ? ofSign[sign].patient : (ofSign[sign][id] ?? always[id]);
}

/** What is said of an answer afterwards: `bent catheter straightened`. */
export function answerSaid(sign: FaultSign, { question, id }: Pick<GivenAnswer, 'question' | 'id'>): string {
  return questionWords(sign, question).answers[id]?.[1] ?? id;
}

/** What a step says in words, `flat: bent catheter straightened`; its ids where it is none of ours. */
export function stepWords(step: FaultStep): string {
  const of = questionOf(step);
  const given = answerOf(step);
  if (!of || !(of.isFixed || given)) return `${step.step}: ${step.answer}`;
  return `${of.sign}: ${given ? answerSaid(of.sign, given) : step.answer}`;
}
