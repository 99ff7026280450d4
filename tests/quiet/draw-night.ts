import { readFileSync, writeFileSync } from 'node:fs';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import { newWard } from '../../src/domain/ward/ward-state.ts';
import { chanceFrom } from '../../src/invented/chance.ts';
import { pictureOf } from '../../src/pictures/drawn.ts';
import { look } from '../../src/pictures/look.ts';
import type { Part } from '../../src/pictures/picture.ts';
import { words } from '../../src/pictures/svg-words.ts';
import { SimulatedWard } from './simulated-ward.ts';
import { clinician, manners, Staff } from './staff.ts';

/** One message of the night: minutes since 19:00, whom it went to, and what it was. */
type Message = [minute: number, to: string, what: string];

const minuteMs = 60_000;
const nightMin = 12 * 60;
/** A Tuesday, 07:00 UTC; the night drawn is the second, from 36 h on: the ward is full by then. */
const startMs = Date.UTC(2026, 10, 24, 7);
const nightFromMs = startMs + 36 * 60 * minuteMs;
const lines = 12;

const rows = [
  { title: 'Ward channel', takes: (to: string) => to === 'ward' },
  { title: 'Nurse', takes: (to: string) => to === 'nurse' || to === 'lead' },
  { title: 'Clinician', takes: (to: string) => to === 'clinician' || to === 'backup' },
];

/** The messages of one night of 12 lines with punctual staff, through the real ladder. */
function messagesOfNight(seed: string): Message[] {
  const policy = { ...defaultPolicy('UTC'), rota: { day: clinician, night: clinician } };
  const messages: Message[] = [];
  let staff: Staff | null = null;
  const ward: SimulatedWard = new SimulatedWard(newWard('T0QUIET.C0WARD', policy), startMs, {
    posted(post, now) {
      messages.push([Math.round((now - nightFromMs) / minuteMs), post.to, post.what]);
      staff?.hears(post);
    },
    added() {},
    open() {},
    cleared() {},
  });
  const { punctual } = manners;
  staff = new Staff(ward, chanceFrom(`${seed}/${punctual.name}/${lines}`), punctual, lines);
  const untilMs = nightFromMs + nightMin * minuteMs;
  staff.begin(untilMs);
  ward.run(untilMs);
  return messages.filter(([minute]) => minute >= 0 && minute < nightMin);
}

/**
 * Draws the night as a PNG into `file`: each message a stroke on its reader's row, before and after. What was sent before is
 * kept in night-before.json: the same seed and staff, on the ladder that asked for each duty by itself.
 */
export function drawNight(file: string): string {
  const before = JSON.parse(readFileSync(new URL('night-before.json', import.meta.url), 'utf8')) as Message[];
  const after = messagesOfNight('quiet 1');
  const picture = pictureOf({
    fileName: 'attention-night.png',
    title: 'One night, twelve lines',
    lead: ['Each stroke is a new message; a handover is a square. Punctual staff, 19:00 to 07:00.'],
    parts: [
      nightPart(`Before: ${before.length} messages`, before),
      nightPart(`Now: ${after.length} messages`, after),
    ],
    foot: ['Invented patients and staff, a virtual clock, seed “quiet 1”, second night.'],
    altText: `Messages of one night of twelve lines. Before: ${before.length}. Now: ${after.length}.`,
  });
  writeFileSync(file, picture.pngBytes);
  return picture.altText;
}

const leftPx = 300;
const rightPx = 1_040;

function nightPart(title: string, messages: readonly Message[]): Part {
  const x = (minute: number) => leftPx + ((rightPx - leftPx) * minute) / nightMin;
  return {
    heightPx: 430,
    svgFrom(top) {
      const said = [words(title, { x: 40, y: top + 50, size: 38, bold: true })];
      const foot = top + 90 + rows.length * 90;
      for (let hour = 0; hour <= 12; hour += 3) {
        const at = x(hour * 60);
        said.push(
          `<line x1="${at}" y1="${top + 80}" x2="${at}" y2="${foot}" stroke="${look.rule}" stroke-width="2"/>`,
          words(`${String((19 + hour) % 24).padStart(2, '0')}:00`, {
            x: at,
            y: foot + 36,
            size: 28,
            anchor: 'middle',
            colour: look.soft,
          }),
        );
      }
      for (const [index, row] of rows.entries()) {
        const y = top + 125 + index * 90;
        const mine = messages.filter(([, to]) => row.takes(to));
        said.push(words(`${row.title} ${mine.length}`, { x: 40, y: y + 10, size: 30 }));
        for (const [minute, , what] of mine)
          said.push(
            what === 'handover'
              ? `<rect x="${x(minute) - 10}" y="${y - 10}" width="20" height="20" fill="${look.trace}"/>`
              : `<line x1="${x(minute)}" y1="${y - 28}" x2="${x(minute)}" y2="${y + 28}" stroke="${index === 2 ? look.mark : look.trace}" stroke-width="5"/>`,
          );
      }
      return said.join('\n');
    },
  };
}
