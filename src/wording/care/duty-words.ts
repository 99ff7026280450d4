import type { DutyKind } from '../../domain/duty-kind.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { signWords } from '../faults/fault-words.ts';
import { partBelow } from './part-below.ts';

/** What each duty is called, what it risks when missed, and what "done" says. All in the trade's words. */
const words: Record<DutyKind, { name: string; risk: string; done: string }> = {
  finding: {
    name: 'clinician’s look at the finding',
    risk: 'ischaemia, bleeding, loss of the limb',
    done: 'Looked again: nothing amiss',
  },
  fault: {
    name: 'line fault not resolved',
    risk: 'pressures unseen, clot, lost line',
    done: 'Solved',
  },
  faultOpen: {
    name: 'fault left half way',
    risk: 'pressures unseen, clot, lost line',
    done: 'Solved',
  },
  dwellLimit: {
    name: 'dwell limit',
    risk: 'arterial thrombosis, loss of the limb',
    done: 'Taken out',
  },
  dwellWarning: {
    name: 'dwell warning',
    risk: 'arterial thrombosis past the limit',
    done: 'Taken out',
  },
  hold: { name: 'look at the puncture after the hold', risk: 'haematoma', done: 'Not oozing' },
  flush: { name: 'flush', risk: 'clot, lost line', done: 'Flushed' },
  runOut: { name: 'flush source change before it runs out', risk: 'back-flow, clot', done: 'Changed' },
  zero: { name: 'zero and level', risk: 'pressures that cannot be trusted', done: 'Zeroed and levelled' },
  test: { name: 'fast-flush test', risk: 'damping unseen', done: 'Tested: normal' },
  source: { name: 'flush source check', risk: 'back-flow, clot', done: 'Source checked' },
  site: {
    name: 'site and limb check',
    risk: 'ischaemia or dislodgement unseen',
    done: 'Looked: nothing amiss',
  },
  pulse: { name: 'pulse check', risk: 'occlusion unseen', done: 'Pulse present' },
  pulseNextDay: { name: 'next-day pulse check', risk: 'occlusion unseen', done: 'Pulse present' },
  redress: { name: 'redress', risk: 'infection, dislodgement', done: 'Redressed, site nothing amiss' },
  stillNeeded: { name: 'decide if still needed', risk: 'needless risk to the limb', done: 'Still needed' },
  set: { name: 'transducer set and tubing change', risk: 'infection', done: 'Changed' },
};

/** The duty's name, for the middle of a sentence. */
export function dutyName(kind: DutyKind, line?: LineState): string {
  if ((kind === 'pulse' || kind === 'pulseNextDay') && line)
    return `${words[kind].name} of the ${partBelow(line.site)}`;
  if (kind === 'fault' && line?.faultLeft) return `${words[kind].name}: ${signWords(line.faultLeft.sign)}`;
  return words[kind].name;
}

/** What a clinician decided who won't be asked about a duty for a while: `finding seen`, `flush let go`. */
export function letGoWords(kind: DutyKind): string {
  if (kind === 'finding') return 'finding seen';
  if (kind === 'fault') return 'line fault seen';
  if (kind === 'dwellLimit') return 'line kept in';
  return `${words[kind].name} let go`;
}

/** What being late risks, for after "Risk:". */
export function riskWords(kind: DutyKind): string {
  return words[kind].risk;
}

/** The button that says it was done and nothing was amiss. */
export function doneWords(kind: DutyKind): string {
  return words[kind].done;
}

/** First letter large, for the start of a sentence. */
export function capital(text: string): string {
  return text.charAt(0).toLocaleUpperCase('en') + text.slice(1);
}

/** `a`, `a and b`, `a, b and c`. */
export function listed(parts: readonly string[]): string {
  if (parts.length < 2) return parts.join('');
  return `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`;
}
