import type { Period } from '../../domain/audit/line-course.ts';
import type { WardAudit } from '../../domain/audit/ward-audit.ts';
import { type AuditSection, auditCaution, periodText, wardSections } from '../../wording/audit/audit-text.ts';
import { curveRule, personSentences } from '../../wording/audit/person-sentences.ts';
import type { Names } from '../../wording/names.ts';
import { place, rich } from '../../wording/rich-text.ts';
import { actionValue } from '../action-value.ts';
import { buttonRow, type Message, type Part, paragraph, smallPrint } from '../parts.ts';
import { channelOf } from '../ward-id.ts';

/** Characters of sentences to a message; with title and caution they stay below the 4,000 of a text. */
const pageRoom = 2_900;

interface Report {
  wardId: string;
  audit: WardAudit;
  zone: string;
}

/** Whole sections to a page, as many as fit; a section too long for one begins a page and goes on on the next. */
function pagesOf(all: readonly AuditSection[]): AuditSection[][] {
  const pages: AuditSection[][] = [];
  let left = 0;
  for (const { title, sentences } of all) {
    const whole = sentences.reduce((sum, sentence) => sum + sentence.length + 3, title.length + 6);
    if (whole > left) {
      pages.push([]);
      left = pageRoom;
    }
    let current: AuditSection = { title, sentences: [] };
    pages.at(-1)?.push(current);
    left -= title.length + 6;
    for (const sentence of sentences) {
      if (sentence.length + 3 > left && current.sentences.length > 0) {
        current = { title, sentences: [] };
        pages.push([current]);
        left = pageRoom;
      }
      current.sentences.push(sentence);
      left -= sentence.length + 3;
    }
  }
  return pages;
}

function blocksOf(page: readonly AuditSection[]): Part[] {
  return page.map(({ title, sentences }) =>
    paragraph(rich`*${title}*\n${sentences.map((sentence) => `• ${sentence}`).join('\n')}`),
  );
}

/** Messages of the ward's part. */
export function wardReportPages(audit: WardAudit): number {
  return pagesOf(wardSections(audit)).length;
}

/**
 * One message of the ward's part, `page` from 1 of `pages`: everybody on the ward may read it. Where there are more pages by
 * now than were asked for, the last one has the rest. `offered`: for whoever asked, who may post it in the ward.
 */
export function wardReport(
  { wardId, audit, zone }: Report,
  { page, pages, offered = false }: { page: number; pages: number; offered?: boolean },
): Message {
  const { period } = audit.lines;
  const all = pagesOf(wardSections(audit));
  const sections = page < pages ? (all[page - 1] ?? []) : all.slice(page - 1).flat();
  const number = pages > 1 ? ` (${page} of ${pages})` : '';
  const head = `Audit of the arterial lines of ${place(channelOf(wardId))}, ${periodText(period, zone)}${number}`;
  return {
    lead: head,
    parts: [
      paragraph(rich`*${head}*`),
      ...blocksOf(sections),
      ...(offered && page === pages
        ? [
            buttonRow('audit:post', [
              {
                action: 'done:audit',
                text: 'Post in the ward',
                value: actionValue({ w: wardId, s: [period.fromMs, period.toMs] }),
                label: 'Post the ward’s figures in the ward’s channel, without anybody’s learning curve',
              },
            ]),
          ]
        : []),
      smallPrint(auditCaution),
    ],
    settled: true,
    // What is said elsewhere by now need not be sent.
    ...(sections.length === 0 ? { superseded: true } : {}),
  };
}

/** Whose tries stand in a reader's personal part, by user id: their own alone; for the ward lead everybody's. */
function personsFor(audit: WardAudit, { user, lead }: Reader): string[] {
  const placers = audit.practice.map(({ by }) => by);
  if (user !== lead) return [user];
  return [...placers.filter((by) => by === user), ...placers.filter((by) => by !== user)];
}

/** Pages of a reader's personal part; titles are user ids, so that names, however long, part no page otherwise. */
function personalPagesOf(audit: WardAudit, reader: Reader, zone: string): AuditSection[][] {
  return pagesOf(
    personsFor(audit, reader).map((user) => ({
      title: user,
      sentences: personSentences(audit, user, zone),
    })),
  );
}

/** Who a personal part is for, and who leads the ward as it is now. */
interface Reader {
  user: string;
  lead: string | null;
}

/** Messages of a reader's personal part: one at least. */
export function personalReportPages(audit: WardAudit, reader: Reader, zone: string): number {
  return Math.max(1, personalPagesOf(audit, reader, zone).length);
}

/** Whose learning curves a reader is to be shown as pictures, and of whom there are any, by user id. */
export interface CurvesShown {
  wanted: 'everybody’s' | 'their own';
  drawn: readonly string[];
}

/** That curves are in words alone, where they are: of those who tried last there are pictures. Empty where none is left out. */
function notDrawn(audit: WardAudit, reader: Reader, { wanted, drawn }: CurvesShown): string[] {
  const persons = wanted === 'their own' ? [reader.user] : personsFor(audit, reader);
  const without = persons.filter(
    (person) => !drawn.includes(person) && audit.curves.some(({ by }) => by === person),
  );
  if (drawn.length === 0 || without.length === 0) return [];
  const isOwn = without.length === 1 && without[0] === reader.user;
  return [
    `Pictures are of the ${drawn.length} who tried last; ${isOwn ? 'your curve is' : without.length === 1 ? 'the curve of 1 more is' : `the curves of ${without.length} more are`} in words alone.`,
  ];
}

/**
 * The personal part for one reader: their own tries alone; for the ward lead everybody's. Nobody else may be sent it.
 * Several messages where it does not fit one.
 */
export async function personalReports(
  { wardId, audit, zone }: Report,
  reader: Reader,
  names: Names,
  shown: CurvesShown,
): Promise<Message[]> {
  const pages = personalPagesOf(audit, reader, zone);
  const who =
    reader.user === reader.lead
      ? 'You see everybody’s as the ward lead; each of them sees only their own.'
      : reader.lead === null
        ? 'Only you see this; a ward lead, once the policy names one, sees everybody’s.'
        : 'Only you and the ward lead see this.';
  const persons = personsFor(audit, reader);
  const hasCurve = audit.curves.some(({ by }) => persons.includes(by));
  const nobody = [paragraph('No attempts are recorded, so there’s no learning curve.')];
  const messages = (pages.length > 0 ? pages : [[]]).map(async (page, index, { length }) => {
    const number = length > 1 ? ` (${index + 1} of ${length})` : '';
    const head = `Tries at placing on ${place(channelOf(wardId))}, ${periodText(audit.lines.period, zone)}${number}`;
    const titled = await Promise.all(
      page.map(async ({ title, sentences }) => ({
        title: title === reader.user ? 'You' : await names.of(title),
        sentences,
      })),
    );
    return {
      lead: `${head}. ${who}`,
      parts: [
        paragraph(rich`*${head}*\n${who}`),
        ...(pages.length > 0 ? blocksOf(titled) : nobody),
        ...(hasCurve && index === length - 1
          ? [paragraph([curveRule(audit.rates), ...notDrawn(audit, reader, shown)].join(' '))]
          : []),
        smallPrint(auditCaution),
      ],
      settled: true,
    };
  });
  return Promise.all(messages);
}

/** Said instead of a report that could not be counted again, however often it was tried, when it was to be sent. */
export function notCounted(wardId: string, { fromMs, toMs }: Period, zone: string): Message {
  const text = `The audit of the arterial lines of ${place(channelOf(wardId))}, ${periodText({ fromMs, toMs }, zone)}, could not be counted. Ask for one: /artline audit.`;
  return { lead: text, parts: [paragraph(text)], settled: true };
}
