import { createHash } from 'node:crypto';
import { WebAPIPlatformError, WebAPIRateLimitedError, type WebClient } from '@slack/web-api';
import type { Clock } from '../app/clock.ts';
import type { HomeReaders, HomeShown } from '../app/home-readers.ts';
import type { WardRecord, Watch } from '../app/ports.ts';
import { takeBackMs } from '../app/take-back.ts';
import { asTyped } from '../chat/as-typed.ts';
import type { Homes } from '../chat/homes.ts';
import type { Membership } from '../chat/membership.ts';
import type { Part } from '../chat/parts.ts';
import { homeView } from '../chat/views/home-view.ts';
import { wardsOf } from '../chat/wards-of.ts';
import type { Names } from '../wording/names.ts';
import { drawnHome } from './render/view.ts';

/** Homes brought up to date in a minute, by themselves: the platform takes 100, and what people press comes first. */
const mostAMinute = 50;

interface HomeParts {
  client: WebClient;
  record: WardRecord;
  readers: HomeReaders;
  clock: Clock;
  realNow: () => number;
  names: Names;
  membership: Membership;
  command: string;
  watch: Watch;
  /** What everybody must read first; null where there is nothing. */
  warning: () => Promise<string | null>;
}

/** Everybody's Home, brought up to date as the record changes. */
export function homes(parts: HomeParts): Homes {
  const { client, readers, realNow, watch } = parts;
  const sentAt: number[] = [];

  const show = async (user: string, said: HomeShown['said']): Promise<void> => {
    const { view, hash } = await drawHome(parts, user, said);
    await client.views.publish({ user_id: user, view });
    await readers.keep(user, { hash, ...(said ? { said } : {}) });
  };
  /** Sends it where it does not stand so already, and nobody sent a newer one meanwhile. */
  const renew = async (user: string): Promise<boolean> => {
    const shown = await readers.shown(user);
    const said = stillSaid(shown);
    const { view, hash } = await drawHome(parts, user, said);
    if (hash === shown?.hash || (await readers.shown(user))?.hash !== shown?.hash) return false;
    await client.views.publish({ user_id: user, view });
    await readers.keep(user, { hash, ...(said ? { said } : {}) });
    return true;
  };
  // What was answered on one person's Home must not be drawn over by what it brings.
  const inTurn = oneAtATime();
  const stillSaid = (shown: HomeShown | null) =>
    shown?.said && shown.said.untilMs > realNow() ? shown.said : undefined;

  return {
    async open(user) {
      await readers.opened(user, realNow());
      // The platform shows what it last had: sent again even where nothing changed, since it may have lost it.
      await inTurn(user, async () => show(user, stillSaid(await readers.shown(user))));
    },
    async say(user, text, parts = []) {
      await readers.opened(user, realNow());
      const said = { text, blocks: [...parts], untilMs: realNow() + takeBackMs };
      await inTurn(user, () => show(user, said));
    },
    async refresh() {
      for (const user of await readers.lately(realNow())) {
        while (sentAt.length > 0 && (sentAt[0] ?? 0) <= realNow() - 60_000) sentAt.shift();
        // Those left are looked at again with the next change or sweep.
        if (sentAt.length >= mostAMinute) return;
        try {
          if (await inTurn(user, () => renew(user))) sentAt.push(realNow());
        } catch (cause) {
          if (cause instanceof WebAPIRateLimitedError) return;
          // Somebody who left the workspace has no Home; one person's trouble must not keep it from the others.
          if (!(cause instanceof WebAPIPlatformError && cause.data.error === 'user_not_found'))
            watch.trouble('a Home could not be brought up to date', { user }, cause);
        }
      }
    },
  };
}

async function drawHome(
  { record, clock, names, membership, command, warning }: HomeParts,
  user: string,
  said: HomeShown['said'],
) {
  const wardIds = await wardsOf(record, membership, user, clock.now());
  const wards = await Promise.all(wardIds.map((wardId) => record.readWard(wardId)));
  const answer = said ? { text: said.text, parts: partsKept(said.blocks) } : null;
  const view = asTyped(
    drawnHome(await homeView(wards, user, names, clock.now(), answer, await warning())),
    command,
  );
  const hash = createHash('sha256').update(JSON.stringify(view)).digest('base64url').slice(0, 16);
  return { view, hash };
}

/** Runs work of one name after the other. */
function oneAtATime(): <T>(name: string, work: () => Promise<T>) => Promise<T> {
  const turns = new Map<string, Promise<unknown>>();
  return (name, work) => {
    const turn = (turns.get(name) ?? Promise.resolve()).then(work, work);
    turns.set(name, turn);
    const over = () => {
      if (turns.get(name) === turn) turns.delete(name);
    };
    void turn.then(over, over);
    return turn;
  };
}

/** What was answered as it was kept; what another version kept otherwise is left to its text. */
function partsKept(kept: readonly unknown[]): Part[] {
  return (kept as Part[]).filter((part) => typeof part === 'object' && part !== null && 'kind' in part);
}
