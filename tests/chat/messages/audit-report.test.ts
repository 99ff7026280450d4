import { describe, expect, it } from 'vitest';
import { drawnAudit } from '../../../src/audit/drawn-audit.ts';
import { type CurvesShown, personalReports } from '../../../src/chat/messages/audit-report.ts';
import { wardAudit } from '../../../src/domain/audit/ward-audit.ts';
import { drawnMessage } from '../../../src/slack/render/message.ts';
import { hour, LineLog, testWard, wall } from '../../support/line-builder.ts';

const { policy } = testWard();
const period = { fromMs: wall('2026-11-01 00:00'), toMs: wall('2026-12-01 00:00') };
/** Ada tried last, then Bo, then Cy. */
const audit = wardAudit(
  {
    wardEntries: [],
    lines: ['cy', 'bo', 'ada'].map((operator, hours) => {
      const patient = { name: `Animal ${operator}` };
      const { entries } = new LineLog(period.fromMs + hours * hour, { patient, operator, tries: 1 });
      return { id: `line-${operator}`, entries };
    }),
  },
  policy,
  period,
);
const { zone } = policy.shifts;

/** What the last message of a personal part says of pictures. */
async function ofPictures(user: string, shown: CurvesShown): Promise<string> {
  const names = { of: async (id: string) => id };
  const report = { wardId: 'T0TEST.C0WARD', audit, zone };
  const messages = await personalReports(report, { user, lead: 'lia' }, names, shown);
  const { text } = drawnMessage(messages.at(-1) ?? { lead: '', parts: [] });
  return /Pictures are [^.]*\./.exec(text)?.[0] ?? '';
}

describe('learning curves as pictures', () => {
  it('are drawn of those who tried last', () => {
    expect(Object.keys(drawnAudit(audit, 2).curvePictures)).toEqual(['ada', 'bo']);
  });

  it.each([
    [
      'lia',
      'everybody’s',
      ['ada', 'bo'],
      'Pictures are of the 2 who tried last; the curve of 1 more is in words alone.',
    ],
    [
      'lia',
      'everybody’s',
      ['ada'],
      'Pictures are of the 1 who tried last; the curves of 2 more are in words alone.',
    ],
    [
      'cy',
      'everybody’s',
      ['ada', 'bo'],
      'Pictures are of the 2 who tried last; your curve is in words alone.',
    ],
    ['cy', 'their own', ['ada', 'bo'], 'Pictures are of the 2 who tried last; your curve is in words alone.'],
    ['ada', 'their own', ['ada', 'bo'], ''],
    // The lead’s monthly report brings nobody’s picture but their own; where none could be drawn there is none to miss.
    ['lia', 'their own', ['ada', 'bo'], ''],
    ['lia', 'everybody’s', ['ada', 'bo', 'cy'], ''],
    ['cy', 'everybody’s', [], ''],
  ] as const)('for %s, who is to see %s, of %j: %s', async (user, wanted, drawn, says) => {
    expect(await ofPictures(user, { wanted, drawn })).toBe(says);
  });
});
