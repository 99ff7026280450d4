import type { WardPolicy } from './ward-policy.ts';

/** What wakes a clinician at night, as a new ward chooses it; waking hours say it in all its parts. */
export type NightChoice = 'danger only' | 'all late care';

/** Waking hours that leave no night: late care may be told to a clinician at any hour. */
const atAnyHour: WardPolicy['waking'] = { from: '00:00', to: '23:59' };
const usualWaking: WardPolicy['waking'] = { from: '07:00', to: '22:00' };

/** Which choice a policy comes to. */
export function nightChoiceOf({ waking }: Pick<WardPolicy, 'waking'>): NightChoice {
  return waking.from === atAnyHour.from && waking.to === atAnyHour.to ? 'all late care' : 'danger only';
}

/** The waking hours of a policy after that choice; a ward's own hours stay where they already come to it. */
export function wakingOf(choice: NightChoice, before: Pick<WardPolicy, 'waking'>): WardPolicy['waking'] {
  if (choice === nightChoiceOf(before)) return before.waking;
  return choice === 'all late care' ? atAnyHour : usualWaking;
}
