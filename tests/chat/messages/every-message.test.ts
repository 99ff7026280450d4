import { readFileSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, it } from 'vitest';
import type { Post, WardView } from '../../../src/app/ports.ts';
import { composeMessage } from '../../../src/chat/messages/compose.ts';
import type { Message } from '../../../src/chat/parts.ts';
import { drawnMessage } from '../../../src/slack/render/message.ts';
import { terminalMessage } from '../../../src/terminal/terminal-parts.ts';
import { handoverOf } from '../../support/handed-over.ts';
import { LineLog, testWard, wall } from '../../support/line-builder.ts';
import { nastyWard } from '../../support/nasty-ward.ts';
import { asked, names, post } from './compose-for-test.ts';

// Names with what each platform must make harmless, so that it shows where one does not.
const log = new LineLog('20:00', { patient: { name: 'Bis & <Cuit>' } })
  .add('zeroed', '20:05', {})
  .add('siteChecked', '20:50', { finding: { cold: true } });
const line = log.state();
const ward = testWard({ backup: 'bea', lead: 'lia' });
const now = wall('21:20');
const late = asked(line, { flush: '21:00', zero: '20:30' });
const out = new LineLog('20:00').add('removed', '21:00', { reason: 'planned', tipWhole: true }).state();
const never = new LineLog('20:00').add('amended', '21:00', { target: 1, strike: 'another ward' }).state();

const told: Partial<Post> = { lines: [line.id], asked: late };
const of = (what: string, more: Partial<NonNullable<Post['about']>> = {}): Partial<Post> => ({
  ...told,
  about: { what, user: 'vet', for: wall('20:30'), by: 'bea', setBy: 'nina', text: 'vet', ...more },
});
const view: WardView = { ward, lines: [line] };
const logs = nastyWard(12);
const posted = { for: wall('19:00'), auto: true, postedAt: wall('18:45'), accepted: null, nudgedAt: null };
const handedOver: WardView = {
  ward: { ...testWard(), handovers: [posted] },
  lines: logs.map((one) => one.state()),
  handedOver: handoverOf(logs, testWard(), wall('18:45')),
};
const handover = (what: string): [Post, WardView, number] => [
  post('handover', '18:45', {
    lines: logs.map(({ id }) => id).slice(0, 3),
    about: { what, for: wall('19:00'), page: 1, pages: 1 },
  }),
  handedOver,
  wall('18:45'),
];
const notice = (what: string, more?: Partial<NonNullable<Post['about']>>): [Post, WardView, number] => [
  post('notice', '21:20', of(what, more)),
  view,
  now,
];

const covered = { from: wall('20:00'), to: wall('23:00') };

/** Every kind of message, by what it is. */
const messages: Record<string, [Post, WardView, number]> = {
  card: [post('card', '21:20', { lines: [line.id] }), view, now],
  'card of a line that is out': [post('card', '21:20', {}), { ward, lines: [out] }, now],
  'card of a line that never was': [post('card', '21:20', {}), { ward, lines: [never] }, now],
  nudge: [post('nudge', '21:20', told), view, now],
  'escalation: nurse': [post('escalation', '21:20', { ...of('nurse'), to: { user: 'nina' } }), view, now],
  'escalation: clinician': [
    post('escalation', '21:20', { ...of('clinician'), to: { user: 'vet' } }),
    view,
    now,
  ],
  'escalation: backup': [post('escalation', '21:20', { ...of('backup'), to: { user: 'bea' } }), view, now],
  'handover: accept': handover('accept'),
  'handover: more': handover('more'),
  'handover: patients': handover('patients'),
  'handover: rounds': handover('rounds'),
  'handover: file lost': handover('file lost'),
  'nobody answered': [
    post('notice', '21:20', of('nobody answered')),
    {
      ward,
      lines: [
        log
          .add('escalated', '21:20', { duties: [['flush', wall('21:00')]], to: 'backup', user: 'bea' })
          .state(),
      ],
    },
    now,
  ],
  'nobody on call': [
    post('notice', '21:20', of('nobody on call')),
    { ...view, ward: testWard({ rota: {} }) },
    now,
  ],
  'handover not accepted': [
    post('notice', '19:30', of('handover not accepted', { for: wall('19:00') })),
    handedOver,
    wall('19:30'),
  ],
  unreached: notice('unreached'),
  'channel shut': notice('channel shut'),
  'was down': notice('was down', covered),
  'commands lost': notice('commands lost', covered),
  'commands back': notice('commands back', covered),
  policy: notice('policy', { text: 'Late zero wakes the clinician.' }),
  'set up': notice('set up'),
  'on call': [post('notice', '21:20', { ...of('on call'), to: { user: 'vet' } }), view, now],
  'on call set': notice('on call set'),
  'on call back': notice('on call back'),
  'off call': [post('notice', '21:20', { ...of('off call'), to: { user: 'bea' } }), view, now],
  decided: notice('decided'),
  'to decide': notice('to decide'),
  given: [post('notice', '21:20', { ...of('given'), to: { user: 'nina' } }), view, now],
  cover: notice('cover', covered),
  'stands in': [post('notice', '21:20', { ...of('stands in', covered), to: { user: 'bea' } }), view, now],
  covered: [post('notice', '21:20', { ...of('covered', covered), to: { user: 'vet' } }), view, now],
  'cover over': [post('notice', '21:20', { ...of('cover over', covered), to: { user: 'bea' } }), view, now],
  'called off': [post('notice', '21:20', { ...of('called off', covered), to: { user: 'bea' } }), view, now],
  back: [post('notice', '21:20', { ...of('back', covered), to: { user: 'vet' } }), view, now],
  'any other notice': notice('anything', { text: 'Made elsewhere, with a <b> & *stars*.' }),
  report: [post('report', '21:20', of('audit', { text: 'Counted elsewhere.' })), view, now],
};

const composed = ([made, seen, at]: [Post, WardView, number]): Promise<Message> =>
  composeMessage(made, seen, names, at);

/** What Slack draws, shown as text: each block with its kind. */
function inSlack(message: Message): string {
  const { text, blocks } = drawnMessage(message);
  return [`text: ${text}`, ...blocks.map((block) => JSON.stringify(block))].join('\n');
}

describe('every kind of message', () => {
  it('is here', () => {
    const source = readFileSync(
      path.join(import.meta.dirname, '..', '..', '..', 'src', 'chat', 'messages', 'compose.ts'),
      'utf8',
    );
    const kinds = [...source.matchAll(/what === '([^']+)'/g)].map((match) => match[1] ?? '');
    expect(kinds.length).toBeGreaterThan(20);
    for (const kind of kinds)
      expect(Object.keys(messages).map((name) => name.replace('handover: ', ''))).toContain(kind);
  });

  it.each(Object.entries(messages))(
    '%s is shown by Slack and by a terminal as it always was',
    async (_kind, made) => {
      const message = await composed(made);
      expect(inSlack(message)).toMatchSnapshot('slack');
      expect(terminalMessage(message)).toMatchSnapshot('terminal');
    },
  );

  it.each(Object.entries(messages))('%s loses no word in either', async (_kind, made) => {
    const message = await composed(made);
    const { blocks } = drawnMessage(message);
    const said = message.parts.flatMap((part) => ('text' in part ? [part.text] : []));
    const words = said.join(' ').match(/[\p{L}\p{N}]{3,}/gu) ?? [];
    const [shown, drawn] = [terminalMessage(message), JSON.stringify(blocks)];
    expect(words.filter((word) => !shown.includes(word) || !drawn.includes(word))).toEqual([]);
  });
});
