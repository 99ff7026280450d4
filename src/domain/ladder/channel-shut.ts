import { owedLines } from '../duties/duties-of-line.ts';
import { wakingFrom } from '../duties/urgency.ts';
import type { LineState } from '../record/line-state.ts';
import type { WardState } from '../ward/ward-state.ts';
import { calledAt, leadAt, nurseReached } from './people.ts';

/**
 * Who is still to be told by direct message, and when (ms), that nothing can be posted in the ward's channel: whoever leads the
 * nurses at once, where nobody does the nurses who have lines; the clinician in waking hours, as of any care, and at once where
 * there is nobody else. Each once, as long as it is shut; nobody while no line is in.
 */
export function shutNotificationsAt(
  ward: WardState,
  lines: readonly LineState[],
  now: number,
): { user: string; at: number }[] {
  const shut = ward.channelShut;
  const owed = owedLines(lines, ward.policy, now);
  if (!shut || owed.length === 0) return [];
  const atOnce = insteadOfChannel(ward, owed, now);
  const clinician = calledAt(ward, now);
  const notifications = atOnce.map((user) => ({ user, at: shut.at }));
  if (clinician !== null && !atOnce.includes(clinician))
    notifications.push({ user: clinician, at: atOnce.length === 0 ? shut.at : wakingFrom(ward.policy, now) });
  return notifications.filter(({ user }) => !shut.notified.includes(user));
}

/** Who is told what the channel can't be: whoever leads the nurses, else each nurse of these lines; empty where nobody is reached. */
export function insteadOfChannel(ward: WardState, lines: readonly LineState[], now: number): string[] {
  const lead = leadAt(ward, now);
  if (lead !== null) return [lead];
  return [...new Set(lines.flatMap((line) => nurseReached(ward, line, now) ?? []))];
}
