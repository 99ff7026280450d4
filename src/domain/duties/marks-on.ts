import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState, Marks, Words } from '../record/line-state.ts';
import { minuteMs } from '../time.ts';
import { concernsDuty, type Duty, saidAfter, saidAfterArming } from './duty.ts';

/** What was said about this very duty, out of all that was said about its kind. */
export function marksOn(line: LineState, duty: Duty): Marks {
  const said = line.marks[duty.kind];
  if (said === undefined) return {};
  // As nearly always: then nothing is copied, since every look asks this of every duty.
  const ofIt = isAllOf(said, duty) ? said : sayingOf(said, duty);
  if (!comesAfterAll(ofIt)) return ofIt;
  const { cannot: _cannot, ...others } = ofIt;
  return others;
}

/** Whether whoever said "cannot" took it over since. */
function comesAfterAll({ claimed, cannot }: Marks): boolean {
  return (
    claimed !== undefined && cannot !== undefined && claimed.by === cannot.by && saidAfter(claimed, cannot)
  );
}

function isAllOf(said: Marks, { kind, dueAt }: Duty): boolean {
  for (const name in said) {
    const words = said[name as keyof Marks];
    if (words !== undefined && !concernsDuty(kind, words, dueAt)) return false;
  }
  return true;
}

function sayingOf(said: Marks, { kind, dueAt }: Duty): Marks {
  const isSaid = (words: Words) => concernsDuty(kind, words, dueAt);
  return Object.fromEntries(Object.entries(said).filter(([, words]) => isSaid(words))) as Marks;
}

/**
 * The word the `to` reader was given of this very duty. Besides what `marksOn` finds, one given at most a round's minutes
 * before it is due stands: a round would have taken it along, so an amendment that moves it later asks no second time.
 * A clinician's word stands so for dwell only: of lateness that was none, it must come again when there is some.
 */
export function saidNear<To extends 'nudged' | 'clinician'>(
  line: LineState,
  duty: Duty,
  policy: WardPolicy,
  to: To,
): Marks[To] | undefined {
  const words: Marks[To] | undefined = line.marks[duty.kind]?.[to];
  if (!words || concernsDuty(duty.kind, words, duty.dueAt)) return words;
  const alike = to === 'nudged' || duty.why === 'dwell';
  const near =
    alike && saidAfterArming(words, duty.armedBy) && words.at >= duty.dueAt - policy.roundMin * minuteMs;
  return near ? words : undefined;
}

/** The claim that stands: "cannot" said after it ended it. Whether its time is over is for the caller to see. */
export function claimOn({ claimed, cannot }: Marks): Marks['claimed'] {
  return claimed && cannot && saidAfter(cannot, claimed) ? undefined : claimed;
}
