/** Details of a log line. Only known keys with id-like values are written; anything else is left out. */
export type LogFields = Readonly<Record<string, unknown>>;

function listed(keys: string): ReadonlySet<string> {
  return new Set(keys.trim().split(/\s+/));
}

/** Keys whose values are ids: of Slack, of ours, of a process. */
const idKeys: ReadonlySet<string> = listed(`
  ward line lines entry key post job user channel team app ts envelope wardId lineId entryId
  postKey userId channelId eventId requestId view run serverPid
`);

/** Keys whose values are one word out of our own lists. */
const wordKeys: ReadonlySet<string> = listed(`
  verb kind duty step action code outcome mode role state surface signal reason method
  slackError check queue setting action
`);

/** Keys whose values are numbers or yes/no. */
const numberKeys: ReadonlySet<string> = listed(`
  version expectedVersion count attempt attempts status port exitCode restarts repairs at
  dueMs lateMs latenessMs tookMs ackMs delayMs fromMs toMs skewMs retryAfterMs depth retried
  ok wards rate
`);

const idShape = /^[\w.:|{}/+-]{1,120}$/;
const slackIdShape = /^[A-Z][A-Z0-9]{7,}$/;
/** flushed, dwellLimit, SIGKILL; a name as people write it begins with a capital and goes on small. */
const wordShape = /^(?:[a-z][\w.:/-]{0,47}|[A-Z][A-Z0-9_]{1,47})$/;
const errorKindShape = /^(?:[A-Z][A-Za-z]{0,39})?Error$/;
const errorCodeShape = /^(?:[A-Z][A-Z0-9_]{2,47}|slack_[a-z_]{2,40})$/;
const notWritten = '[not written]';

function idOnly(value: unknown): unknown {
  if (typeof value === 'number') return value;
  if (typeof value !== 'string' || !idShape.test(value) || isSecret(value)) return notWritten;
  // Our ids carry a digit and Slack's are long and in capitals; a patient's or a person's name is neither.
  return /\d/.test(value) || slackIdShape.test(value) ? value : notWritten;
}

function isSecret(text: string): boolean {
  return /xox[a-z]-|xapp-/i.test(text);
}

function wordOnly(value: unknown): unknown {
  if (typeof value === 'number' || typeof value === 'boolean') return value;
  return typeof value === 'string' && wordShape.test(value) && !isSecret(value) ? value : notWritten;
}

function numberOnly(value: unknown): unknown {
  return typeof value === 'number' || typeof value === 'boolean' ? value : notWritten;
}

function shaped(value: unknown, shape: RegExp): unknown {
  return typeof value === 'string' && shape.test(value) ? value : notWritten;
}

function readProperty(value: object, name: string): unknown {
  try {
    return (value as Record<string, unknown>)[name];
  } catch {
    return undefined;
  }
}

/** The places a stack passed through, without its first lines: those repeat the message, which may quote people. */
function stackPlaces(stack: unknown): string[] {
  if (typeof stack !== 'string') return [];
  return stack
    .split('\n')
    .map((line) => line.trim())
    .filter((line) => /^at [^"'`]*(?:node:[\w/.]+|\.(?:[mc]?[jt]s)):\d+:\d+\)?$/.test(line))
    .slice(0, 12);
}

/** An error as we log it: its kind, its code, where it came from. Never its message. */
function errorOnly(value: unknown, depth = 0): unknown {
  if (typeof value !== 'object' || value === null) return { type: typeof value };
  const written: Record<string, unknown> = { type: shaped(readProperty(value, 'name'), errorKindShape) };
  const code = readProperty(value, 'code');
  if (code !== undefined) written['code'] = typeof code === 'number' ? code : shaped(code, errorCodeShape);
  const data = readProperty(value, 'data');
  if (typeof data === 'object' && data !== null)
    written['slackError'] = wordOnly(readProperty(data, 'error'));
  const places = stackPlaces(readProperty(value, 'stack'));
  if (places.length > 0) written['stack'] = places;
  const cause = readProperty(value, 'cause');
  if (cause !== undefined && depth < 3) written['cause'] = errorOnly(cause, depth + 1);
  return written;
}

function writtenValue(key: string, value: unknown): unknown {
  if (key === 'err') return errorOnly(value);
  if (Array.isArray(value)) return value.slice(0, 50).map((item: unknown) => writtenValue(key, item));
  if (wordKeys.has(key)) return wordOnly(value);
  if (numberKeys.has(key)) return numberOnly(value);
  return idOnly(value);
}

/**
 * What of `fields` may be written: ids, words of our own lists, numbers, and errors without their message.
 * The rest is counted, not named, since a key can be a name too.
 */
export function safeFields(fields: LogFields): Record<string, unknown> {
  const written: Record<string, unknown> = {};
  let leftOut = 0;
  for (const key of Object.keys(fields)) {
    const value = readProperty(fields, key);
    if (value === undefined) continue;
    if (key === 'err' || idKeys.has(key) || wordKeys.has(key) || numberKeys.has(key)) {
      written[key] = writtenValue(key, value);
    } else {
      leftOut += 1;
    }
  }
  if (leftOut > 0) written['leftOut'] = leftOut;
  return written;
}

/** Longest event text, in characters. */
const longestEvent = 160;

/** An event's text with anything that looks like a token taken out. */
export function safeEvent(event: string): string {
  const cut = event.slice(0, longestEvent);
  return isSecret(cut) ? notWritten : cut;
}
