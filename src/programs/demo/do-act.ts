import { wallClock } from '../../domain/shifts/wall-clock.ts';
import type { DemoWard } from './demo-ward.ts';
import type { Act } from './night.ts';
import { plainWords } from './plain-words.ts';
import { standingButtons } from './standing-buttons.ts';

/** How long the bot may take to open a form or answer, ms of real time. */
const patienceMs = 5_000;

/** Does one act of the night; false when what it presses is not there yet. */
export async function doAct(ward: DemoWard, act: Act, say: (line?: string) => void): Promise<boolean> {
  const { platform } = ward;
  const user = platform.world.users.find(({ handle }) => handle === act.who);
  if (!user) throw new Error(`nobody is called ${act.who}`);
  const channel = platform.world.wardChannelId;
  // By their ids: the platform keeps only the newest answers, so their number says nothing.
  const heard = new Set(platform.ephemerals(user.id).map(({ ts }) => ts));
  const narrate = () => {
    say();
    say(`${wallClock('UTC', ward.clock.now())}  ${act.narration}`);
  };
  if (act.types !== undefined) {
    narrate();
    say(`       ${act.who}: /artline ${act.types}`);
    const sent = await platform.slash({ user: user.id, channel, text: act.types });
    if (!sent.acked) throw new Error(`/artline ${act.types} was not acknowledged`);
    if (act.types.startsWith('place')) {
      const form = await platform.until('the registering form', () => platform.view(user.id), patienceMs);
      const submitted = await platform.submit({ user: user.id, viewId: form.id });
      if (!submitted.accepted) throw new Error(`the form was refused: ${JSON.stringify(submitted.errors)}`);
    }
    if (act.types === 'handover') return true;
  } else if (act.presses) {
    const { action, patient, where } = act.presses;
    const place = where === 'ward' ? channel : `D${user.id.slice(1)}`;
    const button = standingButtons(platform, where === 'ward' ? channel : user.id, place).find(
      (one) => one.actionId.startsWith(action) && (patient === '' || one.patient === patient),
    );
    if (!button) return false;
    narrate();
    await platform.press({
      user: user.id,
      channel: button.channel,
      messageTs: button.ts,
      actionId: button.actionId,
      blockId: button.blockId,
    });
    if (act.sends) {
      const form = await platform.until('the form', () => platform.view(user.id), patienceMs);
      await platform.fill(form.id, act.sends);
      const submitted = await platform.submit({ user: user.id, viewId: form.id });
      if (!submitted.accepted) throw new Error(`the form was refused: ${JSON.stringify(submitted.errors)}`);
    }
  }
  const answer = await platform
    .until('an answer', () => platform.ephemerals(user.id).find(({ ts }) => !heard.has(ts)), patienceMs)
    .catch(() => null);
  if (answer) say(`       ${plainWords(answer.text, platform.world.users)}`);
  return true;
}
