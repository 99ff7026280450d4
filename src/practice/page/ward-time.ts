const formats = new Map<string, Intl.DateTimeFormat>();

function format(zone: string, options: Intl.DateTimeFormatOptions): Intl.DateTimeFormat {
  const name = zone + JSON.stringify(options);
  const made =
    formats.get(name) ?? new Intl.DateTimeFormat('en-GB', { timeZone: zone, hourCycle: 'h23', ...options });
  formats.set(name, made);
  return made;
}

/** `19:02` in the ward's zone. */
export const clockTime = (zone: string, atMs: number): string =>
  format(zone, { hour: '2-digit', minute: '2-digit' }).format(atMs);

/** `19:02:07` in the ward's zone. */
export const clockTimeWithSeconds = (zone: string, atMs: number): string =>
  format(zone, { hour: '2-digit', minute: '2-digit', second: '2-digit' }).format(atMs);

/** `Tue 24 Nov` in the ward's zone. */
export const wardDay = (zone: string, atMs: number): string =>
  format(zone, { weekday: 'short', day: 'numeric', month: 'short' }).format(atMs).replace(',', '');

/** The zone's short name at that instant, such as `CET`. */
export function zoneName(zone: string, atMs: number): string {
  const parts = format(zone, { timeZoneName: 'short' }).formatToParts(atMs);
  return parts.find((part) => part.type === 'timeZoneName')?.value ?? zone;
}

/** `2026-11-24T19:00`, what a datetime-local field takes, in the ward's zone. */
export function fieldTime(zone: string, atMs: number): string {
  const day = new Intl.DateTimeFormat('sv-SE', { timeZone: zone }).format(atMs);
  return `${day}T${clockTime(zone, atMs)}`;
}

/** The instant a datetime-local value names in the ward's zone; the first of two on an autumn night. */
export function instantOf(zone: string, text: string): number | null {
  if (!/^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}$/.test(text)) return null;
  const wallMs = Date.parse(`${text}:00Z`);
  const offsetMs = (atMs: number) =>
    Date.parse(`${fieldTime(zone, atMs)}:00Z`) - Math.floor(atMs / 60_000) * 60_000;
  // The larger offset is the earlier instant; a wall time that does not exist falls after the gap.
  const candidates = [offsetMs(wallMs - 86_400_000), offsetMs(wallMs + 86_400_000)].map(
    (offset) => wallMs - offset,
  );
  const exact = candidates.filter((atMs) => fieldTime(zone, atMs) === text);
  return exact.length > 0 ? Math.min(...exact) : Math.max(...candidates);
}

const tokens: Readonly<Record<string, Intl.DateTimeFormatOptions>> = {
  date_num: { year: 'numeric', month: '2-digit', day: '2-digit' },
  date_slash: { year: 'numeric', month: '2-digit', day: '2-digit' },
  date: { day: 'numeric', month: 'long', year: 'numeric' },
  date_short: { day: 'numeric', month: 'short', year: 'numeric' },
  date_long: { weekday: 'long', day: 'numeric', month: 'long', year: 'numeric' },
  time: { hour: '2-digit', minute: '2-digit' },
  time_secs: { hour: '2-digit', minute: '2-digit', second: '2-digit' },
};

function agoText(atMs: number, nowMs: number): string {
  const minutes = Math.round(Math.abs(nowMs - atMs) / 60_000);
  const amount = minutes < 60 ? `${minutes} min` : `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
  return atMs <= nowMs ? `${amount} ago` : `in ${amount}`;
}

const dayNumber = (zone: string, atMs: number) =>
  Math.floor(Date.parse(`${fieldTime(zone, atMs).slice(0, 10)}T00:00Z`) / 86_400_000);

/** Fills the date tokens of `pattern` (`{date_short_pretty} {time}` and so on) for an instant, in the ward's zone. */
export function datePattern(zone: string, nowMs: number, atSeconds: number, pattern: string): string {
  const atMs = atSeconds * 1000;
  return pattern.replaceAll(/\{(\w+)\}/g, (whole: string, token: string) => {
    if (token === 'ago') return agoText(atMs, nowMs);
    const base = token.replace(/_pretty$/, '');
    const options = tokens[base];
    if (!options) return whole;
    if (token !== base) {
      const today = dayNumber(zone, nowMs);
      const day = dayNumber(zone, atMs);
      if (day === today) return 'today';
      if (day === today - 1) return 'yesterday';
      if (day === today + 1) return 'tomorrow';
    }
    return format(zone, options).format(atMs);
  });
}
