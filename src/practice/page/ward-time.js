const formats = new Map();

function format(zone, options) {
  const key = zone + JSON.stringify(options);
  if (!formats.has(key))
    formats.set(key, new Intl.DateTimeFormat('en-GB', { timeZone: zone, hourCycle: 'h23', ...options }));
  return formats.get(key);
}

/** `19:02` in the ward's zone. */
export const clockTime = (zone, atMs) => format(zone, { hour: '2-digit', minute: '2-digit' }).format(atMs);

/** `19:02:07` in the ward's zone. */
export const clockTimeWithSeconds = (zone, atMs) =>
  format(zone, { hour: '2-digit', minute: '2-digit', second: '2-digit' }).format(atMs);

/** `Tue 24 Nov` in the ward's zone. */
export const wardDay = (zone, atMs) =>
  format(zone, { weekday: 'short', day: 'numeric', month: 'short' }).format(atMs).replace(',', '');

/** The zone's short name at that instant, such as `CET`. */
export function zoneName(zone, atMs) {
  const parts = format(zone, { timeZoneName: 'short' }).formatToParts(atMs);
  return parts.find((part) => part.type === 'timeZoneName')?.value ?? zone;
}

/** `2026-11-24T19:00`, what a datetime-local field takes, in the ward's zone. */
export function fieldTime(zone, atMs) {
  const day = new Intl.DateTimeFormat('sv-SE', { timeZone: zone }).format(atMs);
  return `${day}T${clockTime(zone, atMs)}`;
}

/** The instant a datetime-local value names in the ward's zone; the first of two on an autumn night. */
export function instantOf(zone, text) {
  if (!/^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}$/.test(text)) return null;
  const wallMs = Date.parse(`${text}:00Z`);
  const offsetMs = (atMs) => Date.parse(`${fieldTime(zone, atMs)}:00Z`) - Math.floor(atMs / 60_000) * 60_000;
  // The larger offset is the earlier instant; a wall time that does not exist falls after the gap.
  const candidates = [offsetMs(wallMs - 86_400_000), offsetMs(wallMs + 86_400_000)].map(
    (offset) => wallMs - offset,
  );
  const exact = candidates.filter((atMs) => fieldTime(zone, atMs) === text);
  return exact.length > 0 ? Math.min(...exact) : Math.max(...candidates);
}

const tokens = {
  date_num: { year: 'numeric', month: '2-digit', day: '2-digit' },
  date_slash: { year: 'numeric', month: '2-digit', day: '2-digit' },
  date: { day: 'numeric', month: 'long', year: 'numeric' },
  date_short: { day: 'numeric', month: 'short', year: 'numeric' },
  date_long: { weekday: 'long', day: 'numeric', month: 'long', year: 'numeric' },
  time: { hour: '2-digit', minute: '2-digit' },
  time_secs: { hour: '2-digit', minute: '2-digit', second: '2-digit' },
};

function agoText(atMs, nowMs) {
  const minutes = Math.round(Math.abs(nowMs - atMs) / 60_000);
  const amount = minutes < 60 ? `${minutes} min` : `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
  return atMs <= nowMs ? `${amount} ago` : `in ${amount}`;
}

/** Fills the date tokens of `pattern` (`{date_short_pretty} {time}` and so on) for an instant, in the ward's zone. */
export function datePattern(zone, nowMs, atSeconds, pattern) {
  const atMs = atSeconds * 1000;
  return pattern.replaceAll(/\{(\w+)\}/g, (whole, token) => {
    if (token === 'ago') return agoText(atMs, nowMs);
    const base = token.replace(/_pretty$/, '');
    if (!tokens[base]) return whole;
    if (token !== base) {
      const today = Math.floor(Date.parse(`${fieldTime(zone, nowMs).slice(0, 10)}T00:00Z`) / 86_400_000);
      const day = Math.floor(Date.parse(`${fieldTime(zone, atMs).slice(0, 10)}T00:00Z`) / 86_400_000);
      if (day === today) return 'today';
      if (day === today - 1) return 'yesterday';
      if (day === today + 1) return 'tomorrow';
    }
    return format(zone, tokens[base]).format(atMs);
  });
}
