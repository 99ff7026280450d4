import type { HurriedClock } from '../../app/clock.ts';
import { botMessage } from './composing.ts';
import type { PlatformCore } from './core.ts';
import { post } from './posting.ts';

const lookEveryMs = 200;
/**
 * After the ward clock jumped, scheduled messages wait this long in real time: an app that keeps pushing a message
 * ahead of itself must be able to learn of the jump first.
 */
const graceAfterJumpMs = 3_000;

/** Posts scheduled messages when the ward clock reaches them, until the returned function is called. */
export function keepScheduledPosts(core: PlatformCore, hurried: HurriedClock | undefined): () => void {
  let heldUntilMs = 0;
  const stopListening = hurried?.onChange(() => {
    heldUntilMs = core.realNow() + graceAfterJumpMs;
  });
  const look = () => {
    if (core.realNow() < heldUntilMs) return;
    const nowSeconds = core.clock.now() / 1000;
    const due = [...core.workspace.scheduled.values()].filter((waiting) => waiting.postAt <= nowSeconds);
    for (const waiting of due.sort((left, right) => left.postAt - right.postAt)) {
      core.workspace.record({ kind: 'unscheduled', id: waiting.id });
      const conversation = core.workspace.conversation(waiting.channel);
      if (!conversation || conversation.isArchived || waiting.hasMetadata) continue;
      const { thread_ts: threadTs, ...shown } = waiting.message;
      post(
        core,
        conversation,
        botMessage(core, shown, threadTs === undefined ? {} : { thread_ts: threadTs }),
      );
    }
  };
  const timer = setInterval(look, lookEveryMs);
  timer.unref();
  return () => {
    clearInterval(timer);
    stopListening?.();
  };
}
