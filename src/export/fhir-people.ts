import type { LineState } from '../domain/record/line-state.ts';
import { nurseFor, onCallFor, type Responsible } from '../domain/ward/on-call.ts';
import type { WardState } from '../domain/ward/ward-state.ts';
import type { AboutLine } from './fhir-line.ts';
import { identifier, inWords, person, uuidOf, within } from './fhir-values.ts';

/** Who is on call for the ward at `now` (ms), as a team of its own; null where nobody is. */
export function onCallTeam(ward: WardState, now: number): fhir4.CareTeam | null {
  const onCall = onCallFor(ward, now);
  if (onCall === null) return null;
  return {
    resourceType: 'CareTeam',
    id: onCallTeamId(ward.id),
    identifier: [identifier('ward', ward.id)],
    status: 'active',
    name: 'On call for the ward',
    participant: responsible(onCall, 'Clinician on call'),
  };
}

function onCallTeamId(wardId: string): string {
  return uuidOf(wardId, 'on call');
}

/**
 * With whom a line is at `now` (ms): its nurse, those it was given to for shifts to come, and whoever is on call. Null of a
 * line that is out, or was registered in error.
 */
export function lineTeam(
  line: AboutLine,
  state: LineState,
  ward: WardState,
  now: number,
): fhir4.CareTeam | null {
  if (state.removed || state.inError) return null;
  const onCall = onCallFor(ward, now);
  return {
    resourceType: 'CareTeam',
    id: line.id('team'),
    status: 'active',
    name: 'With whom the line is',
    subject: line.subject,
    participant: [
      ...responsible(nurseFor(ward, state, now), 'Nurse the line is with'),
      ...state.plannedNurses
        .filter(({ from }) => from > now)
        .map(({ nurse, from }) => ({
          role: [inWords('Nurse the line is given to for a shift to come')],
          member: person(nurse),
          period: { start: line.at(from) },
        })),
      ...(onCall ? [{ role: [inWords('On call')], member: within(onCallTeamId(ward.id)) }] : []),
    ],
  };
}

/** Somebody in a role, and for whom where that person is away. */
function responsible({ user, insteadOf }: Responsible, role: string): fhir4.CareTeamParticipant[] {
  if (insteadOf === null) return [{ role: [inWords(role)], member: person(user) }];
  return [
    { role: [inWords(`${role}, in another’s place`)], member: person(user) },
    { role: [inWords(`${role}, away and covered`)], member: person(insteadOf) },
  ];
}
