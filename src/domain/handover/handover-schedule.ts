import { owedLines } from '../duties/duties-of-line.ts';
import type { LineState } from '../record/line-state.ts';
import { nextShiftStart, shiftAt } from '../shifts/shift-calendar.ts';
import { minuteMs } from '../time.ts';
import type { WardState } from '../ward/ward-state.ts';

/** What a ward's own calendar asks for next: a handover to post, or word that nobody accepted one. */
export type WardStep = { what: 'handover' | 'handover not accepted'; for: number; at: number };

/**
 * The ward's next step at `now`. A handover is posted `handoverBeforeMin` before each shift starts; one that nobody
 * accepted within `handoverAcceptMin` of the start is told of once. A handover missed while the bot was down is still
 * posted until its shift is over: late is better than never, and it has its minutes from then. A ward without lines hands nothing over, and a line
 * registered after a shift began is no reason to hand that shift over.
 */
export function wardStepsAt(ward: WardState, lines: readonly LineState[], now: number): WardStep[] {
  const { shifts, handoverBeforeMin, handoverAcceptMin } = ward.policy;
  const beforeMs = handoverBeforeMin * minuteMs;
  const known = (start: number) => ward.handovers.find((handover) => handover.for === start);
  const owed = owedLines(lines, ward.policy, now);
  const current = shiftAt(shifts, now).startMs;
  const coming = nextShiftStart(shifts, now);
  const steps: WardStep[] = [];
  for (const start of [current, coming, nextShiftStart(shifts, coming)]) {
    if (!owed.some(({ knownSince }) => knownSince < start)) continue;
    const posted = known(start);
    if (!posted) {
      steps.push({ what: 'handover', for: start, at: start - beforeMs });
    } else if (posted.auto && !posted.accepted && posted.nudgedAt === null) {
      steps.push({
        what: 'handover not accepted',
        for: start,
        at: Math.max(start, posted.postedAt) + handoverAcceptMin * minuteMs,
      });
    }
  }
  // When the coming shift's is due as well, the running shift's would only repeat it.
  const missed = steps.filter(({ what, at }) => what === 'handover' && at <= now).slice(0, -1);
  return steps.filter((step) => !missed.includes(step)).sort((a, b) => a.at - b.at);
}
