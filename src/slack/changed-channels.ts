import { z } from 'zod';
import type { ChangedId, ChannelIds } from '../app/channel-ids.ts';

/** As the platform documents it (docs.slack.dev, channel_id_changed). */
const changedSchema = z.looseObject({
  team_id: z.string().regex(/^[A-Z0-9]+$/),
  event: z.looseObject({
    type: z.literal('channel_id_changed'),
    old_channel_id: z.string().regex(/^[A-Z0-9]+$/),
    new_channel_id: z.string().regex(/^[A-Z0-9]+$/),
  }),
});

/**
 * What comes in, with each channel by the id that its ward goes by. Where it tells that a channel has another id, that is kept first:
 * it throws `RecordUnavailable` where it can't be, so that nothing is acknowledged and the platform tells it again.
 */
export async function withWardsChannels(body: unknown, ids: ChannelIds): Promise<unknown> {
  const told = changedIn(body);
  if (told) await ids.changed(told);
  else await ids.refresh();
  const teamId = (body as { team_id?: unknown } | null)?.team_id;
  const team = typeof teamId === 'string' ? teamId : undefined;
  const known = ids.today(team);
  if (known.size === 0) return body;
  const firsts = new Map([...known].flat().map((id) => [id, ids.first(team, id)]));
  return replaced(body, firsts);
}

function changedIn(body: unknown): ChangedId | null {
  const read = changedSchema.safeParse(body);
  if (!read.success) return null;
  const { team_id: team, event } = read.data;
  const { old_channel_id: old, new_channel_id: now } = event;
  return old === now ? null : { team, old, now };
}

/** The same with whole strings replaced, wherever they stand. */
function replaced(value: unknown, by: ReadonlyMap<string, string>): unknown {
  if (typeof value === 'string') return by.get(value) ?? value;
  if (Array.isArray(value)) return value.map((one) => replaced(one, by));
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(Object.entries(value).map(([name, one]) => [name, replaced(one, by)]));
}

/**
 * Calls of a Web API client, with each channel by the id it has today. An id that the platform doesn't know any more, since another
 * process was told of the change, is looked for once more.
 */
export function withTodaysChannels(
  call: typeof globalThis.fetch,
  ids: ChannelIds,
  team?: string,
): typeof globalThis.fetch {
  return async (url, init) => {
    const asked = init?.body;
    if (typeof asked !== 'string') return call(url, init);
    await ids.refresh();
    const said = inToday(asked, ids.today(team));
    const answer = await call(url, { ...init, body: said });
    if (!(await isUnknownChannel(answer))) return answer;
    await ids.refresh({ now: true });
    const again = inToday(asked, ids.today(team));
    return again === said ? answer : call(url, { ...init, body: again });
  };
}

/** A form with ids replaced; not within a ward's own id (`T01.C0123`), which buttons and metadata carry and which stays. */
function inToday(form: string, today: ReadonlyMap<string, string>): string {
  if (![...today.keys()].some((old) => form.includes(old))) return form;
  const fields = new URLSearchParams(form);
  for (const [name, value] of new URLSearchParams(form)) {
    fields.set(
      name,
      [...today].reduce(
        (text, [old, now]) => text.replaceAll(new RegExp(`(?<![A-Za-z0-9.])${old}(?![A-Za-z0-9])`, 'g'), now),
        value,
      ),
    );
  }
  return fields.toString();
}

async function isUnknownChannel(answer: Response): Promise<boolean> {
  if (!(answer.headers.get('content-type') ?? '').includes('json')) return false;
  const text = await answer.clone().text();
  return text.length < 1_000 && text.includes('"channel_not_found"');
}
