/** What every answer begins with while the jobs are silent. `silentMs`: for how long, real ms. */
export function remindersOffWords(silentMs: number): string {
  const minutes = Math.round(silentMs / 60_000);
  const long = minutes < 120 ? `${minutes} min` : `${Math.round(minutes / 60)} h`;
  return `Reminders are not running (silent for ${long}): go by the clock and the last handover, and tell whoever looks after the bot. What you record is kept.`;
}
