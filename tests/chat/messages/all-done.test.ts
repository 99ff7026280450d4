import { describe, expect, it } from 'vitest';
import { usualDrafts } from '../../../src/domain/duties/usual-drafts.ts';
import { dutyKinds } from '../../../src/domain/duty-kind.ts';
import { mrkdwn } from '../../../src/slack/render/mrkdwn.ts';
import { allDoneRecords, allDoneText, claimsOf } from '../../../src/wording/care/claim-words.ts';
import { LineLog, testWard } from '../../support/line-builder.ts';
import * as fc from '../../support/properties.ts';
import { asked, buttonsIn, composed, post } from './compose-for-test.ts';

const line = new LineLog('19:20').state();
const ward = testWard();

const nudged = async (duties: Record<string, string>, at = '21:00') => {
  const made = await composed(post('nudge', at, { asked: asked(line, duties) }), ward, [line]);
  const texts = made.blocks.flatMap((block) => (block.type === 'section' ? [block.text?.text ?? ''] : []));
  return { button: buttonsIn(made.blocks)[0]?.text.text, text: texts.join('\n') };
};

describe('a tap on “all done”', () => {
  it('names in the line above what it records where a phone would cut the button off, a test as normal included', async () => {
    const { button, text } = await nudged({ zero: '19:20', test: '19:20' });
    expect(button).toBe('All done, as listed');
    expect(text).toContain('_All done_ records: levelled, zeroed, test normal.');
  });

  it('says of a site check what is claimed, and all of it however much it is', async () => {
    const { text } = await nudged({ zero: '19:20', test: '19:20', flush: '20:20', site: '23:20' }, '23:30');
    expect(text).toContain(
      '_All done_ records: site nothing amiss, flushed 2 mL, levelled, zeroed, test normal.',
    );
    const claims = claimsOf(['redress', 'source', 'flush', 'zero', 'test'], line, ward.policy);
    expect(allDoneText(claims)).toBe('All done, as listed');
    expect(mrkdwn(allDoneRecords(claims))).toBe(
      '_All done_ records: redressed, site nothing amiss, source checked, flushed 2 mL, levelled, zeroed, test normal.',
    );
  });

  it('stands alone where a phone shows it whole', () => {
    expect(allDoneText(['levelled', 'zeroed'])).toBe('All done: levelled, zeroed');
    expect(allDoneRecords(['levelled', 'zeroed'])).toBe('');
  });

  it('leaves out nothing of what it records, whatever is due', () => {
    fc.assert(
      fc.property(fc.subarray([...dutyKinds]), (kinds) => {
        const claims = claimsOf(kinds, line, ward.policy);
        expect(claims).toHaveLength(usualDrafts(kinds).length);
        expect(claims.includes('test normal')).toBe(kinds.includes('test'));
        // What a phone shows of a button, so that nothing is read cut off.
        expect(allDoneText(claims).length).toBeLessThanOrEqual(30);
        const shown = claims.length > 1 ? allDoneText(claims) + allDoneRecords(claims) : claims.join();
        for (const claim of claims) expect(shown).toContain(claim);
      }),
    );
  });
});
