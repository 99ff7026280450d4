import { everyDuty, firstEndAt, isOwedAt } from '../duties/duties-of-line.ts';
import { perState } from '../duties/per-state.ts';
import type { LineState } from '../record/line-state.ts';
import type { WardState } from '../ward/ward-state.ts';
import { peopleOf } from './people.ts';
import { type People, readers, type Step, stepsOf } from './steps.ts';

/** Every step that is not taken yet, whatever the time: as long as the same people would be told. */
const lastSteps = perState((): { people: People | null; steps: readonly Step[] } => ({
  people: null,
  steps: [],
}));

/** The steps of a line's duties that are not taken yet, past or to come, for the people who would be told at `now` (ms). */
export function stepsOfLine(line: LineState, ward: WardState, now: number): readonly Step[] {
  const { policy } = ward;
  const people = peopleOf(ward, line, now);
  const last = lastSteps(line, policy);
  if (!isSame(last.people, people)) {
    last.steps = everyDuty(line, policy).flatMap((duty) => stepsOf(line, duty, policy, people));
    last.people = people;
  }
  const { steps } = last;
  return now < firstEndAt(line, policy) ? steps : steps.filter(({ duty }) => isOwedAt(duty, now));
}

function isSame(before: People | null, people: People): boolean {
  return before !== null && readers.every((reader) => before[reader] === people[reader]);
}
