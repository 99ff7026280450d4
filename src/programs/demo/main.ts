import { menuView } from '../../chat/views/menu-view.ts';
import { coveredTime } from '../../domain/handover/coming-visits.ts';
import { visitsBetween } from '../../domain/rounds/visit.ts';
import { wallClock } from '../../domain/shifts/wall-clock.ts';
import { dayMs } from '../../domain/time.ts';
import { terminalForm, terminalMessage } from '../../terminal/terminal-parts.ts';
import { terminalText } from '../../terminal/terminal-text.ts';
import { composedAgain, lookOf, namesOf, wardOf } from './composed-again.ts';
import { type DemoWard, startDemoWard } from './demo-ward.ts';
import { doAct } from './do-act.ts';
import { type Act, night } from './night.ts';
import { looksAfter } from './nurse-hands.ts';
import { plainWords } from './plain-words.ts';
import { keyOf, kindOf } from './standing-buttons.ts';

const say = (line = '') => process.stdout.write(`${line}\n`);
const startMs = Date.parse(night.startsAt);
/** The nurse's hands take this long from a round's nudge to its tick, ms of ward time. */
const handsMs = 3 * 60_000;

/** The instant of a clock time of the night: before the start's own time of day it is the next morning. */
function instantOf(clock: string): number {
  const [hours = 0, minutes = 0] = clock.split(':').map(Number);
  const midnight = Math.floor(startMs / dayMs) * dayMs;
  const at = midnight + (hours * 60 + minutes) * 60_000;
  return at < startMs ? at + dayMs : at;
}

/** Tells everything new that stands on the platform, once, with whom it reached: its lead, as a locked phone shows it. */
function newsPrinter(ward: DemoWard): () => Promise<void> {
  const printed = new Set<string>();
  const { platform } = ward;
  const people = platform.world.users;
  return async () => {
    const fresh = [
      ...platform.messages(platform.world.wardChannelId).map((message) => ({ message, to: 'ward' })),
      ...people.flatMap((user) => platform.messages(user.id).map((message) => ({ message, to: user.name }))),
    ].filter(({ message, to }) => !printed.has(`${to}|${message.ts}`));
    for (const { message, to } of fresh.toSorted((a, b) => Number(a.message.ts) - Number(b.message.ts))) {
      printed.add(`${to}|${message.ts}`);
      const kind = kindOf(message);
      if (kind === 'handover') continue;
      const at = wallClock('UTC', Number(message.ts) * 1000);
      const composed = await composedAgain(ward, keyOf(message));
      if (composed)
        say(`${at}  → ${to}: ${kind === 'card' ? 'card: ' : ''}${terminalText(composed.lead, lookOf(ward))}`);
    }
  };
}

async function main(): Promise<void> {
  const began = performance.now();
  const ward = await startDemoWard(startMs);
  try {
    say('One invented night on an invented ward, told through the bot itself. Times are the ward’s.');
    say();
    const { undone, plan } = await tellNight(ward);
    await showEnd(ward);
    const messages = ward.platform.messages(ward.platform.world.wardChannelId);
    const asked = messages.filter((message) => kindOf(message) === 'nudge').length;
    const hours = Math.round((instantOf(night.endsAt) - startMs) / 3_600_000);
    const tookS = ((performance.now() - began) / 1000).toFixed(0);
    say();
    say(`${asked} rounds were asked for in the ward in ${hours} h; told in ${tookS} s of real time.`);
    if (plan) say(plan);
    if (undone.length > 0)
      throw new Error(`the night ended with ${undone.length} acts undone, first: ${undone[0]?.narration}`);
  } finally {
    await ward.stop();
  }
}

/** Tells the night, act by act; what was left undone at its end, and what its plan would save. */
async function tellNight(ward: DemoWard): Promise<{ undone: Act[]; plan: string }> {
  const printNews = newsPrinter(ward);
  const pending: Act[] = [...night.acts];
  const endMs = instantOf(night.endsAt);
  const neglects = night.neglects.map(({ patient, from, until }) => ({
    patient,
    fromMs: instantOf(from),
    untilMs: instantOf(until),
  }));
  let plan = '';
  while (ward.clock.now() < endMs) {
    const [act] = pending;
    const actAt = act ? instantOf(act.at) : endMs;
    const next = Math.min(
      (await ward.service.nextEventAt()) ?? endMs,
      Math.max(actAt, ward.clock.now()),
      looksAfter.nextAt(ward, handsMs) ?? endMs,
      endMs,
    );
    await ward.goTo(next);
    await printNews();
    if (act && ward.clock.now() >= actAt && (await doAct(ward, act, say))) pending.shift();
    else if (act && ward.clock.now() >= actAt) await ward.goTo(ward.clock.now() + 60_000);
    if (act?.types === 'round') plan = await visitsSaved(ward);
    await looksAfter.tick(ward, handsMs, neglects);
    await ward.goTo(ward.clock.now());
    await printNews();
  }
  return { undone: pending, plan };
}

/** Shows the menu and the handover as they are at the end. */
async function showEnd(ward: DemoWard): Promise<void> {
  say();
  say('The menu, as /artline opens it now:');
  say();
  const view = await ward.service.record.readWard(wardOf(ward));
  say(terminalForm(await menuView(view, namesOf(ward), ward.clock.now()), lookOf(ward)));
  say();
  say('The handover, as it stands in the channel:');
  say();
  const messages = ward.platform.messages(ward.platform.world.wardChannelId);
  const handover = messages.filter((message) => kindOf(message) === 'handover');
  const newest = handover.at(-1);
  for (const message of handover.filter((one) => newest && handoverOf(one) === handoverOf(newest))) {
    const composed = await composedAgain(ward, keyOf(message));
    // Pages of the thread are settled as they are sent, so the record keeps none of them: they are shown as they stand.
    say(
      composed
        ? terminalMessage(composed, lookOf(ward))
        : plainWords(blocksText(message.blocks ?? []), ward.platform.world.users),
    );
  }
}

/** What the plan asked for at this moment of the night saves, counted on the ward's record as it stands. */
async function visitsSaved(demo: DemoWard): Promise<string> {
  const { service, clock } = demo;
  const { ward, lines } = await service.record.readWard(wardOf(demo));
  const { policy } = ward;
  const { fromMs, toMs } = coveredTime(policy, clock.now());
  const visits = visitsBetween(lines, policy, fromMs, toMs);
  return `Planned at ${wallClock('UTC', clock.now())} for ${lines.length} lines until ${wallClock('UTC', toMs)}: ${visits.length} visits do everything by the time it's due.`;
}

/** Which handover a message belongs to, by its key. */
function handoverOf(message: Parameters<typeof keyOf>[0]): string {
  return keyOf(message).split('.')[2] ?? '';
}

/** The text of a message’s blocks, a line a block. */
function blocksText(blocks: readonly Record<string, unknown>[]): string {
  return blocks
    .flatMap((block) => {
      const text = (block.text as { text?: string } | undefined)?.text;
      const elements = (block.elements as { text?: unknown }[] | undefined)?.flatMap(({ text: own }) =>
        typeof own === 'string' ? [own] : [],
      );
      return [...(text === undefined ? [] : [text]), ...(elements ?? [])];
    })
    .join('\n');
}

await main();
