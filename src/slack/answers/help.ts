import type { KnownBlock } from '@slack/web-api';
import { lineVerb, lineVerbs } from '../../app/verbs/line-verbs.ts';
import { context, section, sections } from '../messages/blocks.ts';
import { escaped } from '../text.ts';
import { capital } from '../wording/duty-words.ts';
import { standingCaution } from '../wording/line-words.ts';

/** Verbs that are not about one line that is in. */
const others: readonly { verb: string; does: string; example: string }[] = [
  {
    verb: 'place',
    does: 'opens the form that registers a line; nothing is registered before you submit it',
    example: '/artline place Biscuit dog 28kg left dorsal pedal 20g manual',
  },
  {
    verb: 'due',
    does: 'shows what is due on this ward, late first; only you see it',
    example: '/artline due',
  },
  {
    verb: 'round',
    does: 'shows the fewest visits that do all of this shift in time, nurse by nurse; only you see it',
    example: '/artline round',
  },
  {
    verb: 'handover',
    does: 'posts the handover of every line here; it also comes by itself before each shift',
    example: '/artline handover',
  },
  {
    verb: 'assign',
    does: 'gives a line, or all, to a nurse, now or for the next shift; alone it opens the whole list',
    example: '/artline assign Biscuit @name next shift',
  },
  {
    verb: 'oncall',
    does: 'puts somebody on call now, or says who is, now and next shift',
    example: '/artline oncall @name',
  },
  {
    verb: 'cover',
    does: 'says who is away, who stands in and until when; or that they are back',
    example: '/artline cover @name by @name until 07:00',
  },
  {
    verb: 'policy',
    does: 'shows and changes what this ward has agreed on: intervals, limits, shifts, rota',
    example: '/artline policy',
  },
  {
    verb: 'amend',
    does: 'puts a wrong entry right; the first telling stays in the record',
    example: '/artline amend Biscuit',
  },
];

/** Help for one verb, or the list of all of them. */
export function helpMessage(command: string, rest: string): { text: string; blocks: KnownBlock[] } {
  const asked = rest.trim().split(/\s+/)[0] ?? '';
  const one = lineVerb(asked) ?? others.find(({ verb }) => verb === asked);
  const own = (text: string) => text.replaceAll('/artline', command);
  if (one) {
    const isTimed = one.verb === 'place' || lineVerb(one.verb) !== undefined;
    const time = isTimed ? '\nA time may follow: “at 02:10”, “20 min ago”. Without one it is now.' : '';
    const text = `*${one.verb}* ${one.does}.\nExample: ${escaped(own(one.example))}${time}`;
    return {
      text: `${text.replaceAll('*', '')} ${standingCaution}`,
      blocks: [section(text), context(standingCaution)],
    };
  }
  const first = `Type ${command} alone and tap. Words after it are a shortcut, never needed. The patient’s name comes first, values carry their unit, and a time may follow (“at 02:10”, “20 min ago”).`;
  const list = [...lineVerbs, ...others].map(
    ({ verb, does, example }) => `*${verb}* ${capital(does)}.\n\`${escaped(own(example))}\`\n`,
  );
  return {
    text: `${first}\n${list.join('').replaceAll(/[*`]/g, '')}${standingCaution}`.slice(0, 3_900),
    blocks: [section(first), ...sections(list), context(standingCaution)],
  };
}
