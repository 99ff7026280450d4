import { describe, expect, it } from 'vitest';
import { mrkdwn } from '../../../src/slack/render/mrkdwn.ts';
import { beforeRemovalWords } from '../../../src/wording/care/removal-words.ts';
import { asked, composed, post } from '../../chat/messages/compose-for-test.ts';
import { LineLog, type PlacedChanges, testWard, wall } from '../../support/line-builder.ts';

const ward = testWard();
const cat = (changes: PlacedChanges = {}) =>
  new LineLog('20:00', { ...changes, patient: { species: 'cat', weightKg: 4, ...changes.patient } });
const bleeds = { patient: { bleeding: true } };
const unknown = { screening: { cautions: ['clotting unknown' as const] } };
const heparin = { source: { kind: 'syringe' as const, heparinUPerMl: 1 } };
const hold = 'Hold 10 min, with somebody free to hold; then a bandage, and look again.';
const kink = 'Not working? Check for a kink and check the taps before you pull it.';

// The clinician first: people's coagulation is looked at before removal (BMC Anesthesiol 2024, Table 4). Hold: people at least
// 5 min, 10 min if anticoagulated or femoral (nursing pages). Kink and tap first: common practice, no source.
describe('what is said before a line comes out', () => {
  it.each<[string, LineLog, string[]]>([
    ['of one that nothing speaks against', cat(), []],
    [
      'with a bleeding disorder',
      cat(bleeds),
      [`*Bleeding disorder: ask the clinician before it comes out.* ${hold}`],
    ],
    [
      'with clotting unknown',
      cat(unknown),
      [`*Clotting not known: ask the clinician before it comes out.* ${hold}`],
    ],
    [
      'with heparin besides',
      cat({ ...bleeds, ...heparin }),
      [
        `*Bleeding disorder: ask the clinician before it comes out.* ${hold}`,
        'There is heparin in the flush: it may bleed longer.',
      ],
    ],
    ['with heparin alone', cat(heparin), []],
    [
      'from a femoral artery',
      cat({ site: 'femoral' }),
      ['Femoral artery: hold 10 min, with somebody free to hold.'],
    ],
    [
      'from a brachial artery',
      cat({ site: 'brachial' }),
      ['Brachial artery: hold 10 min, with somebody free to hold.'],
    ],
    ['with a fault just told', cat().add('faultOpened', '21:00', { sign: 'flat' }), [kink]],
    [
      'with a fault of which the taps were not looked at',
      cat()
        .add('faultOpened', '21:00', { sign: 'flat' })
        .add('faultStep', '21:01', { step: 'flat.kink', answer: 'straight' })
        .add('faultClosed', '21:05', { resolved: false, sign: 'flat' }),
      [kink],
    ],
    [
      'with a fault of which kink and taps were',
      cat()
        .add('faultOpened', '21:00', { sign: 'flat' })
        .add('faultStep', '21:01', { step: 'flat.kink', answer: 'straight' })
        .add('faultStep', '21:02', { step: 'flat.tap', answer: 'right' }),
      [],
    ],
  ])('%s', (_title, log, expected) => {
    expect(beforeRemovalWords(log.state(), ward.policy).map(mrkdwn)).toEqual(expected);
  });

  it('stands in the message about a cat’s dwell limit, with the pulse, and in no other', async () => {
    const line = cat(bleeds).state();
    const about = (duties: Record<string, string>) =>
      composed(
        post('nudge', '04:00', { asked: asked(line, duties), lines: [line.id] }),
        ward,
        [line],
        wall('04:00'),
      );
    const limit = await about({ dwellLimit: '04:00' });
    expect(limit.text).toContain('Feel the pulse of the hind foot before and after');
    expect(limit.text).toContain(`Bleeding disorder: ask the clinician before it comes out. ${hold}`);
    expect((await about({ flush: '04:00' })).text).not.toContain('ask the clinician');
  });
});
