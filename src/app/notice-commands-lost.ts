import { owedLines } from '../domain/duties/duties-of-line.ts';
import type { JobDeps } from './app-deps.ts';
import type { Beat } from './notice-downtime.ts';
import { noticePost } from './notice-post.ts';
import { recordOnWard } from './record-on-ward.ts';
import { type SignOfLife, silenceMs } from './signs-of-life.ts';

/** The chat's sign of life, and whether any ward was told that it is gone. */
export interface ChatSign extends SignOfLife {
  wardsNotified(): Promise<boolean>;
  setWardsNotified(notified: boolean): Promise<void>;
}

/**
 * Tells every ward with lines once that buttons and commands do not work, when the chat has been silent for too long, and
 * once that they work again. `sinceMs`: since when this process has been listening (real ms): a chat that starts beside it gets
 * its time. A chat that was never heard is none that was lost.
 */
export async function noticeCommandsLost(
  deps: JobDeps,
  chat: ChatSign,
  { sinceMs }: { sinceMs: number },
): Promise<void> {
  const { record, realNow, watch } = deps;
  const beat = await chat.last();
  if (beat === null) return;
  const isLost = realNow() - Math.max(beat.realMs, sinceMs) > silenceMs;
  // Where it has just begun to listen nobody knows yet.
  const isBack = realNow() - beat.realMs <= silenceMs;
  if (!isLost && !(isBack && (await chat.wardsNotified()))) return;
  // Before anybody is told: a stop in between must not leave a ward believing that nothing works.
  if (isLost) await chat.setWardsNotified(true);
  let all = true;
  for (const wardId of await record.wardIds()) {
    try {
      await (isLost ? notifyLost(deps, wardId, beat) : notifyBack(deps, wardId));
    } catch (cause) {
      all = false;
      watch.trouble(
        'a ward could not be told whether its buttons work; it is tried again',
        { wardId },
        cause,
      );
    }
  }
  if (isBack && all) await chat.setWardsNotified(false);
}

async function notifyLost(deps: JobDeps, wardId: string, { wardMs: from, realMs }: Beat): Promise<void> {
  const { ward, lines } = await deps.record.readWard(wardId);
  if (isOut(ward) || owedLines(lines, ward.policy, deps.clock.now()).length === 0) return;
  const result = await recordOnWard(
    deps,
    { wardId, by: 'bot', via: 'bot' },
    { kind: 'commandsLost', body: { from } },
    (_view, now) => [
      noticePost(`0.lost.${realMs.toString(36)}`, 'ward', now, { what: 'commands lost', for: from }),
    ],
    (now) => !isOut(now),
  );
  if (result.is === 'taken') await deps.alarm.postsWaiting(wardId);
}

async function notifyBack(deps: JobDeps, wardId: string): Promise<void> {
  const { commandsLost } = await deps.record.readWardState(wardId);
  if (commandsLost === null || commandsLost.backAt !== null) return;
  const { from } = commandsLost;
  const to = deps.clock.now();
  const result = await recordOnWard(
    deps,
    { wardId, by: 'bot', via: 'bot' },
    { kind: 'commandsBack', body: { from, to } },
    (_view, now) => [
      noticePost(`0.back.${deps.realNow().toString(36)}`, 'ward', now, {
        what: 'commands back',
        for: from,
        to,
      }),
    ],
    isOut,
  );
  if (result.is === 'taken') await deps.alarm.postsWaiting(wardId);
}

function isOut({ commandsLost }: { commandsLost: { backAt: number | null } | null }): boolean {
  return commandsLost !== null && commandsLost.backAt === null;
}
