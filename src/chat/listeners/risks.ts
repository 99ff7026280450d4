import { DateTime } from 'luxon';
import { AuditFailed } from '../../app/audits.ts';
import { practiceWardId } from '../../app/rehearsal/invented-line.ts';
import type { WardAudit } from '../../domain/audit/ward-audit.ts';
import { type Species, speciesList } from '../../domain/patient/species.ts';
import { ownerRisks, ownMonths } from '../../domain/risks/owner-risks.ts';
import { type OwnerWords, ownerWords } from '../../wording/owner/owner-words.ts';
import type { ActionValue } from '../action-value.ts';
import { type Bot, type Caller, openView, sayInPlace, updateView } from '../bot.ts';
import { paragraph } from '../parts.ts';
import { excerpt } from '../typed/clean-text.ts';
import { findLine } from '../typed/find-line.ts';
import { speciesFromWords } from '../typed/place-words.ts';
import { askWhichAnimal, ownerAnswer, risksView } from '../views/risks-view.ts';

/** After this many ms somebody who waits hears that lines are being counted. */
const sayAfterMs = 1_500;
const countingWords = 'Counting this ward’s own lines; the page comes in a moment.';

/** `/artline risks`, with an animal or without one. */
export async function risksCommand(bot: Bot, caller: Caller, rest: string): Promise<void> {
  if (rest.trim() === '') {
    const ask = askWhichAnimal(caller.wardId);
    return caller.say(ask.text, ask.parts);
  }
  const species = speciesFromWords(rest) ?? (await speciesOfPatient(bot, caller, rest));
  if (species === null) {
    const ask = askWhichAnimal(caller.wardId);
    const wrong = `“${excerpt(rest)}” isn’t an animal I know or a patient here. Write dog, cat or other, for example ${bot.command} risks cat, or choose here.`;
    return caller.say(wrong, [paragraph(wrong), ...ask.parts.slice(1)]);
  }
  return showPage(bot, caller, species, (text, parts) => caller.say(text, parts));
}

/** The species of the patient of that name with a line here; null where there is none, or two of a name are different animals. */
async function speciesOfPatient(bot: Bot, { wardId }: Caller, name: string): Promise<Species | null> {
  const { lines } = await bot.deps.record.readWard(wardId);
  const found = findLine(name, lines);
  if (found.is === 'one') return found.rest === '' ? found.line.patient.species : null;
  if (found.is !== 'which' || found.rest !== '') return null;
  const [species, ...others] = new Set(found.lines.map(({ patient }) => patient.species));
  return others.length === 0 ? (species ?? null) : null;
}

/** A press: which animal, its page, or the page for paper. */
export async function risksPressed(
  bot: Bot,
  caller: Caller,
  value: ActionValue,
  onPaper: boolean,
): Promise<void> {
  const { wardId, inView } = caller;
  const species = speciesList.find((one) => one === value.v);
  if (!species) {
    const ask = askWhichAnimal(wardId);
    return inView
      ? openView(bot, caller, risksView(wardId, ask.parts), 'The page didn’t open in time. Press once more.')
      : caller.say(ask.text, ask.parts);
  }
  if (onPaper) return sendPaper(bot, caller, species);
  return showPage(bot, caller, species, (text, parts) =>
    inView?.page === 'risks'
      ? updateView(bot, inView.id, risksView(wardId, parts ?? [paragraph(text)]))
      : sayInPlace(caller, text, parts),
  );
}

type Show = (text: string, parts?: Parameters<Caller['say']>[1]) => Promise<void>;

async function showPage(bot: Bot, caller: Caller, species: Species, show: Show): Promise<void> {
  // What is shown late must not stand in place of the page.
  let showing: Promise<void> = Promise.resolve();
  const slow = setTimeout(() => {
    showing = show(countingWords).catch(() => undefined);
  }, sayAfterMs);
  const page = await pageOf(bot, caller, species).finally(() => clearTimeout(slow));
  await showing;
  const answer = ownerAnswer(caller.wardId, species, page);
  await show(answer.text, answer.parts);
}

/** The words of the page, from the ward's own lines where they can be counted and are enough. */
async function pageOf(bot: Bot, { wardId, user }: Caller, species: Species): Promise<OwnerWords> {
  if (species === 'other') return ownerWords({ species, risks: [], countedTo: null });
  const { policy } = await bot.deps.record.readWardState(wardId);
  // Up to the last midnight on the ward's clock: asked for again the same day, the count that is kept will do.
  const today = DateTime.fromMillis(bot.deps.clock.now(), { zone: policy.shifts.zone }).startOf('day');
  const period = { fromMs: today.minus({ months: ownMonths }).toMillis(), toMs: today.toMillis() };
  let audit: WardAudit | null = null;
  try {
    ({ audit } = await bot.audits.of(wardId, period, { keptWillDo: true }));
  } catch (cause) {
    if (!(cause instanceof AuditFailed)) throw cause;
    bot.deps.watch.trouble('the figures for an owner could not be counted', { user }, cause);
  }
  const yesterday = today.minus({ days: 1 }).setLocale('en-GB').toFormat('d LLLL yyyy');
  return ownerWords({
    species,
    risks: ownerRisks(species, audit),
    countedTo: audit === null ? null : yesterday,
  });
}

/** Sends the page as a PDF of A4 to the caller alone. */
async function sendPaper(bot: Bot, caller: Caller, species: Species): Promise<void> {
  if (caller.wardId === practiceWardId) return caller.say('In practice nothing is sent.');
  const { clock, watch, record } = bot.deps;
  const slow = setTimeout(() => {
    void caller.say('The page is being made; it comes to you by direct message.').catch(() => undefined);
  }, sayAfterMs);
  try {
    const page = await pageOf(bot, caller, species);
    const now = clock.now();
    const { policy } = await record.readWardState(caller.wardId);
    const day = DateTime.fromMillis(now, { zone: policy.shifts.zone }).setLocale('en-GB');
    const bytes = await bot.makePaper({ ...page, foot: `As of ${day.toFormat('d LLLL yyyy')}.` }, now);
    await bot.posts.sendFile(
      caller.user,
      { name: `arterial-line-${species}-${day.toFormat('yyyy-LL-dd')}.pdf`, bytes },
      { title: page.title, comment: `${page.title}: one A4 page to print for the owner.` },
    );
    await caller.say('The page is in a direct message from me to you. Open it there to print or share it.');
  } catch (cause) {
    watch.trouble('a page for paper couldn’t be sent', { user: caller.user }, cause);
    await caller.say(
      'The page couldn’t be sent to you. Try again in a minute, or read it out from here: it says the same.',
    );
  } finally {
    clearTimeout(slow);
  }
}
