import { recordOnLines } from '../../app/record-on-lines.ts';
import { testRegions } from '../../domain/policy/test-regions.ts';
import { bodySchema, type DraftOf, type EntryDraft } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import type { StripVerdict } from '../../domain/strip/judge-line.ts';
import { parseStripFiles } from '../../domain/strip/parse-strip-files.ts';
import type { PressureStrip } from '../../domain/strip/pressure-strip.ts';
import { type ReadStrip, readStrip, type StripFindings } from '../../domain/strip/strip-findings.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { clockText, lineWords, placeWords, standingCaution } from '../../wording/care/line-words.ts';
import { uploadRefusal, whichChannelWords } from '../../wording/refusals/upload-refusals.ts';
import { link } from '../../wording/rich-text.ts';
import { stripWords } from '../../wording/strips/strip-words.ts';
import { type ActionValue, actionValue } from '../action-value.ts';
import type { Bot, Caller, PostAbout } from '../bot.ts';
import { buttonsOf } from '../messages/line-button.ts';
import { buttonRow, paragraph, smallPrint } from '../parts.ts';
import { channelOf } from '../ward-id.ts';
import { sayOutcome } from './say-outcome.ts';

/** The message shortcut's own name in the app's manifest. */
export const stripShortcut = 'read_strip';

/** The message somebody chose: its files, and when it was posted, ms. */
export interface ChosenMessage {
  files: readonly string[];
  at: number;
}

type Upload = NonNullable<ActionValue['p']>;

/** Lines offered where several are in, and how many stand in one row. */
const mostChoices = 80;
const rowLength = 20;

/** "Read this strip" on a message: of which line, where several are in; else it is read at once. */
export async function onStripShortcut(bot: Bot, caller: Caller, { files, at }: ChosenMessage): Promise<void> {
  if (files.length === 0) {
    return caller.say(
      'There is no file on this message. Upload a CSV file whose header names its units (time_s,abp_mmHg), or a WFDB .hea file with its .dat file, then choose “Read this strip” on that message.',
    );
  }
  if (files.length > 4)
    return caller.say('There are more than four files on this message. Upload one strip at a time.');
  const { lines } = await bot.deps.record.readWard(caller.wardId);
  const inside = lines.filter(({ removed }) => removed === null);
  const [only] = inside;
  const upload: Upload = { files: [...files], at };
  if (!only)
    return caller.say(
      `No line is in on this ward, so the strip is nobody’s. ${bot.command} place registers one.`,
    );
  if (inside.length === 1) return readFor(bot, caller, only.id, upload);
  const byName = inside.toSorted((a, b) => a.patient.name.localeCompare(b.patient.name, 'en'));
  const left = byName.length - mostChoices;
  const more = left > 0 ? ` The first ${mostChoices} by name are listed here.` : '';
  const text = `Whose strip is it?${more}`;
  const offered = byName.slice(0, mostChoices);
  const rows = Array.from({ length: Math.ceil(offered.length / rowLength) }, (_, row) =>
    offered.slice(row * rowLength, (row + 1) * rowLength),
  );
  return caller.say(text, [
    paragraph(text),
    ...rows.map((row, index) =>
      buttonRow(
        `strip:line:${index}`,
        row.map((line) => ({
          action: `open:strip:${line.id}`,
          text: `${line.patient.name}, ${placeWords(line)}`,
          value: actionValue({ w: caller.wardId, l: line.id, p: upload }),
        })),
      ),
    ),
  ]);
}

/** A line, or a channel of the strip, was chosen. */
export async function stripChosen(bot: Bot, caller: Caller, value: ActionValue): Promise<void> {
  if (value.l && value.p) return readFor(bot, caller, value.l, value.p);
}

type Taken =
  | { is: 'read'; ward: WardState; line: LineState; strip: PressureStrip; read: ReadStrip }
  | { is: 'said' };

/** Fetches and reads an upload for a line; what is wrong with it is said to the caller. */
async function take(bot: Bot, caller: Caller, lineId: string, upload: Upload): Promise<Taken> {
  const [ward, line] = await Promise.all([
    bot.deps.record.readWardState(caller.wardId),
    bot.deps.record.readLine(caller.wardId, lineId),
  ]);
  const say = async (text: string): Promise<Taken> => {
    await caller.say(text);
    return { is: 'said' };
  };
  if (!line) return say('This line isn’t on this ward’s record. Nothing was read.');
  const fetched = await bot.strips.fetch(upload.files).catch((cause: unknown) => {
    bot.deps.watch.trouble('an uploaded strip could not be fetched', { user: caller.user }, cause);
    return {
      problem: 'The uploaded file could not be fetched from the chat platform. Try again in a minute.',
    };
  });
  if ('problem' in fetched) return say(`Not read. ${fetched.problem}`);
  const parsed = parseStripFiles(fetched.files, upload.channel ?? null);
  if (parsed.result === 'refused') return say(`Not read. ${uploadRefusal(parsed.refusal)}`);
  if (parsed.result === 'which channel') {
    const text = whichChannelWords(parsed.channels);
    await caller.say(text, [
      paragraph(text),
      buttonRow(
        'strip:channel',
        parsed.channels.slice(0, rowLength).map((channel, index) => ({
          action: `open:strip:${line.id}:${index}`,
          text: channel,
          value: actionValue({
            w: caller.wardId,
            l: line.id,
            p: { ...upload, channel: channel.slice(0, 60) },
          }),
        })),
      ),
    ]);
    return { is: 'said' };
  }
  return {
    is: 'read',
    ward,
    line,
    strip: parsed.strip,
    read: readStrip(parsed.strip, testRegions(ward.policy)),
  };
}

/** Reads the strip and posts what was read, with a picture, into the thread of the line's card. */
async function readFor(bot: Bot, caller: Caller, lineId: string, upload: Upload): Promise<void> {
  const taken = await take(bot, caller, lineId, upload);
  if (taken.is === 'said') return;
  const { ward, line, strip, read } = taken;
  const now = bot.deps.clock.now();
  const card = await bot.deps.record.readPost(caller.wardId, `9.card.${line.id}`);
  const channel = channelOf(caller.wardId);
  const thread = card?.sent ? { thread: card.sent.id } : {};
  const head = `Strip of ${lineWords(line)}, shared ${clockText(ward.policy, upload.at, now)}, read for ${await bot.names.of(caller.user)}`;
  const words = stripWords(read.findings);
  const drafts = draftsOf(read.findings);
  const parts = [
    paragraph(head),
    paragraph(words),
    ...(drafts.length > 0
      ? [
          buttonRow(`strip:${line.id}`, [
            buttonsOf(caller.wardId, line)(`done:strip:${line.id}`, 'Record this', {
              p: upload,
              primary: true,
              label: 'record what was read from the strip',
            }),
          ]),
        ]
      : []),
    smallPrint(
      `Not recorded${drafts.length > 0 ? ' yet' : ''}.${leftOutWords(read.findings, drafts)} ${standingCaution}`,
    ),
  ];
  const posted = await bot.posts.send(
    { channel, ...thread },
    { lead: head, parts },
    aboutStrip(caller, line),
  );
  await postPicture(bot, caller, line, strip, read, { channel, ...thread });
  const record = drafts.length > 0 ? '; “Record this” puts it on the record' : '';
  const url = posted && (await bot.posts.linkTo(posted).catch(() => null));
  const found = url === null ? 'What was found' : link(url, 'What was found');
  await caller.say(`Read. ${found} is in the thread of the line’s card${record}.`);
}

function aboutStrip(caller: Caller, line: LineState): PostAbout {
  return { wardId: caller.wardId, key: `strip.${caller.once}`, lines: [line.id] };
}

async function postPicture(
  bot: Bot,
  caller: Caller,
  line: LineState,
  strip: PressureStrip,
  read: ReadStrip,
  place: { channel: string; thread?: string },
): Promise<void> {
  try {
    const { channel, thread: threadId } = place;
    await bot.sharePicture(await bot.strips.draw(strip, read), {
      channel,
      title: `Strip, ${placeWords(line)}`,
      fileName: 'strip.png',
      ...(threadId === undefined ? {} : { threadId }),
    });
  } catch (cause) {
    bot.deps.watch.trouble('the picture of a strip could not be posted', { user: caller.user }, cause);
    await caller.say('The picture couldn’t be posted; the words say what was read.');
  }
}

const verdicts: Readonly<Record<StripVerdict, DraftOf<'fastFlushTested'>['body']['verdict']>> = {
  normal: 'normal',
  'flat (overdamped)': 'overdamped',
  'spiky (underdamped)': 'underdamped',
  // Its damping is good; that it is too slow follows from what was measured, at each reading's own heart rate.
  'too slow for this heart rate': 'normal',
  'cannot tell': 'cannot tell',
};

/** Pressures as the record takes them; null where it would not. */
function pressuresOf({
  sapMmHg,
  dapMmHg,
  mapMmHg,
}: NonNullable<StripFindings['beats']>): DraftOf<'reading'>['body'] | null {
  const told = {
    sapMmHg: Math.round(sapMmHg),
    dapMmHg: Math.round(dapMmHg),
    mapMmHg: Math.round(mapMmHg),
  };
  return bodySchema('reading').safeParse(told).success ? told : null;
}

/** Said where something was read that is not offered for the record as it reads. */
function leftOutWords({ verdict, confidence }: StripFindings, offered: readonly EntryDraft[]): string {
  const isLeftOut = !offered.some(({ kind }) => kind === 'reading');
  const isTest = offered.some(({ kind }) => kind === 'fastFlushTested');
  const isUnsure = isTest && verdict !== 'cannot tell' && confidence !== 'fairly sure';
  return `${isLeftOut ? ' No pressures can be recorded from it.' : ''}${isUnsure ? ' The test goes in as “cannot tell”: the verdict is unsure.' : ''}`;
}

/**
 * What of the findings goes into the record: pressures where beats were read, the test where a flush was. What is doubted
 * is no fact: pressures with any fault of the trace are left out, and an unsure verdict goes in as "cannot tell".
 */
export function draftsOf({ beats, faults, flushes, verdict, confidence }: StripFindings): EntryDraft[] {
  const read = faults.length === 0 ? beats : null;
  const pressures = read && pressuresOf(read);
  const flush = flushes.findLast(({ test }) => test.measured !== 'cannot tell')?.test;
  const rate = read ? { heartRatePerMin: Math.round(read.ratePerMin) } : {};
  const isSure = confidence === 'fairly sure';
  // Of an unsure test only what was measured by more than one swing stands on its own.
  const ringing =
    flush?.measured === 'ringing' && (isSure || flush.dampingFrom === 'successive swings') ? flush : null;
  return [
    ...(flush
      ? [
          {
            kind: 'fastFlushTested' as const,
            body: {
              verdict: isSure ? verdicts[verdict] : 'cannot tell',
              ...rate,
              read: {
                naturalHz: ringing ? Math.round(ringing.naturalHz.value * 10) / 10 : null,
                damping: ringing ? Math.round(ringing.damping.value * 100) / 100 : null,
              },
            },
          },
        ]
      : []),
    ...(pressures ? [{ kind: 'reading' as const, body: { ...pressures, ...rate } }] : []),
  ];
}

/** "Record this": the upload is read once more, and what is found goes into the record at the time it was shared. */
export async function recordStrip(bot: Bot, caller: Caller, value: ActionValue): Promise<void> {
  if (!value.l || !value.p) return;
  const taken = await take(bot, caller, value.l, value.p);
  if (taken.is === 'said') return;
  const { line, read } = taken;
  const outcome = await recordOnLines(
    bot.deps,
    { wardId: caller.wardId, by: caller.user, via: 'button', once: caller.once, at: value.p.at },
    draftsOf(read.findings).map((draft) => ({ lineId: line.id, draft })),
  );
  const isRecorded = outcome.repeat || outcome.results.some(({ is }) => is === 'taken' || is === 'already');
  if (caller.inMessage && isRecorded) await settleReport(bot, caller, caller.inMessage, taken, value.p.at);
  await sayOutcome(bot, caller, outcome);
}

/** The report without its button: nobody is asked any more. */
async function settleReport(
  bot: Bot,
  caller: Caller,
  { channel, id }: NonNullable<Caller['inMessage']>,
  { line, read, ward }: Extract<Taken, { is: 'read' }>,
  sharedAt: number,
): Promise<void> {
  const now = bot.deps.clock.now();
  const head = `Strip of ${lineWords(line)}, shared ${clockText(ward.policy, sharedAt, now)}`;
  const words = stripWords(read.findings);
  const recorded = `Recorded ${clockText(ward.policy, now, now)} by ${await bot.names.of(caller.user)}.`;
  const parts = [paragraph(head), paragraph(words), smallPrint(`${recorded} ${standingCaution}`)];
  await bot.posts.edit({ channel, id }, { lead: head, parts }, aboutStrip(caller, line));
}
