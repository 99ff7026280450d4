import type { DemoWard } from './demo-ward.ts';
import { standingButtons } from './standing-buttons.ts';

/** A patient whose rounds are not walked between two instants (ms). */
export interface Absence {
  patient: string;
  fromMs: number;
  untilMs: number;
}

/** Whoever has the ward in this hour. */
function onDuty(ward: DemoWard): string {
  const accepted = ward.clock.now() >= Date.parse('2026-11-25T07:02:00Z');
  return accepted ? 'U0NURSETEO' : 'U0NURSEINA';
}

function openRounds(ward: DemoWard) {
  const channel = ward.platform.world.wardChannelId;
  return standingButtons(ward.platform, channel, channel).filter(
    // Patient by patient: the taps for a whole round would tick off the neglected too.
    ({ kind, actionId }) => kind === 'nudge' && /^done:(?!round|all:|oozing:)/.test(actionId),
  );
}

/** The hands of the night: every round is walked a few minutes after it is asked for, except where nobody can. */
export const looksAfter = {
  /** When the next open round will be walked, ms; null when none is open. */
  nextAt(ward: DemoWard, handsMs: number): number | null {
    const waiting = openRounds(ward)
      .map(({ ts }) => Number(ts) * 1000 + handsMs)
      .filter((at) => at > ward.clock.now());
    return waiting.length === 0 ? null : Math.min(...waiting);
  },
  /** Ticks off what was asked for long enough ago. */
  async tick(ward: DemoWard, handsMs: number, absences: readonly Absence[]): Promise<void> {
    const now = ward.clock.now();
    for (const button of openRounds(ward)) {
      if (Number(button.ts) * 1000 + handsMs > now) continue;
      const away = absences.some(
        ({ patient, fromMs, untilMs }) => patient === button.patient && now >= fromMs && now < untilMs,
      );
      if (away) continue;
      await ward.platform.press({
        user: onDuty(ward),
        channel: button.channel,
        messageTs: button.ts,
        actionId: button.actionId,
        blockId: button.blockId,
      });
      await ward.goTo(now);
    }
  },
};
