import { describe, expect, it, onTestFinished, vi } from 'vitest';
import { practiceWardId } from '../../../src/app/rehearsal/invented-line.ts';
import { type ActionValue, readActionValue } from '../../../src/chat/action-value.ts';
import type { Bot, Caller } from '../../../src/chat/bot.ts';
import type { Form, FormAnswer } from '../../../src/chat/form.ts';
import { isPractise, readPractiseMeta } from '../../../src/chat/forms/practise-meta.ts';
import { practiceOf, screenGroups } from '../../../src/chat/help/screens.ts';
import { beginPractise, onPractisePress, onPractiseSubmit } from '../../../src/chat/listeners/practise.ts';
import type { Json } from '../../../src/practice/platform/message.ts';
import { drawnView } from '../../../src/slack/render/view.ts';
import { appOnMemory, wardId } from '../../support/app-on-memory.ts';
import { buttonsIn } from '../../support/bot-on-platform.ts';
import * as fc from '../../support/properties.ts';

const practised = screenGroups
  .flatMap(({ screens }) => screens.map(({ verb }) => verb))
  .filter((verb) => practiceOf(verb) !== undefined);

/** A bot whose record refuses every write and whose platform can do nothing but show views. */
function stage() {
  const { deps, record, troubles } = appOnMemory(Date.parse('2026-11-24T21:10:00Z'));
  record.commit = async () => {
    throw new Error('the record was written to');
  };
  const views: Form[] = [];
  const said: string[] = [];
  const keep = async (_where: string, view: Form) => void views.push(view);
  const bot = {
    deps,
    screens: { open: keep, push: keep, update: keep },
    names: { of: async (user: string) => `name of ${user}` },
    command: '/artline',
  } as unknown as Bot;
  const caller: Caller = {
    wardId,
    user: 'nina',
    triggerId: 't',
    once: 'o',
    say: async (text) => void said.push(text),
  };
  /** The caller inside the view that is shown now. */
  const inside = (): Caller => ({
    ...caller,
    inView: {
      id: 'V1',
      rootId: 'V0',
      previousId: 'V0',
      page: views.at(-1)?.id ?? '',
      form: null,
    },
  });
  const press = async (action: string, value: ActionValue) => {
    const carried = readPractiseMeta(views.at(-1)?.meta ?? '', 'nina');
    if (!carried) throw new Error('the view carries no practice');
    await onPractisePress(bot, inside(), action, value, carried);
  };
  return { bot, caller, views, said, troubles, press };
}

interface Button {
  action_id: string;
  value: string;
}

function buttons(view: Form | undefined): Button[] {
  return buttonsIn((view ? drawnView(view).blocks : []) as unknown as Json[]) as unknown as Button[];
}

describe('a practice', () => {
  it('leads nowhere but to practice, whatever is pressed in it, and writes nothing', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.constantFrom(...practised),
        fc.array(fc.nat({ max: 50 }), { maxLength: 14 }),
        async (verb, presses) => {
          const { bot, caller, views, said, troubles, press } = stage();
          await beginPractise(bot, caller, verb);
          for (const number of presses) {
            const all = buttons(views.at(-1));
            const button = all[number % Math.max(1, all.length)];
            if (!button) break;
            const value = readActionValue(button.value);
            expect(value?.w).toBe(practiceWardId);
            await press(button.action_id, value!);
          }
          // It began with the verb's own form or answer, not with a refusal.
          expect(views[0]?.id).not.toBe('practise:practised');
          for (const view of views) {
            expect(isPractise(view.id)).toBe(true);
            expect(view.title.startsWith('Practice')).toBe(true);
            expect(JSON.stringify(view.parts[0])).toMatch(/Practice: nothing|Practice only, nothing/);
          }
          expect(said).toEqual([]);
          expect(troubles).toEqual([]);
        },
      ),
      { numRuns: 150 },
    );
  });

  it('takes no press that is meant for a real line', async () => {
    const { bot, caller, views, press, said } = stage();
    await beginPractise(bot, caller, 'fault');
    await press('done:flush:line1', { w: wardId, l: 'line1' });
    expect(views).toHaveLength(1);
    expect(said).toEqual([
      'This practice is from an older version. Close it and open it again; nothing was recorded.',
    ]);
  });

  it('says so when there is nothing to practise', async () => {
    const { bot, caller, views, said } = stage();
    await beginPractise(bot, caller, 'policy');
    expect(views).toEqual([]);
    expect(said[0]).toMatch(/^There’s nothing to practise here/);
  });
});

describe('a practice’s form', () => {
  /** Sends the form of a check in practice, with the ward's policy read once `known` has come. */
  async function send(known: Promise<void>) {
    const { bot, caller, views } = stage();
    await beginPractise(bot, caller, 'check');
    const { record } = bot.deps;
    const ward = await record.readWardState(wardId);
    record.readWardState = async () => {
      await known;
      return ward;
    };
    const shown = views.at(-1)!;
    const carried = readPractiseMeta(shown.meta, 'nina')!;
    const answers: FormAnswer[] = [];
    const said: string[] = [];
    const filled = {
      ...shown,
      asked: [],
      kept: {},
      answers: { findings: { ticked: ['cold'] }, when: { chosen: 'now' } },
    };
    const work = onPractiseSubmit(
      bot,
      { ...caller, say: async (text) => void said.push(text) },
      filled,
      carried,
      async (response) => answers.push(response) === 1,
    );
    return { work, answers, said };
  }

  it('is answered in its place with what it came to', async () => {
    const { work, answers, said } = await send(Promise.resolve());
    await work;
    expect(answers).toEqual([{ is: 'replace', form: expect.objectContaining({ id: 'practise:practised' }) }]);
    expect(JSON.stringify(answers)).toMatch(/Practice only, nothing was recorded.*site and limb: cold/);
    expect(said).toEqual([]);
  });

  it('is closed in time where the answer is not there yet, and answered beside', async () => {
    vi.useFakeTimers();
    onTestFinished(() => void vi.useRealTimers());
    let known = () => {};
    const sent = await send(
      new Promise((resolve) => {
        known = resolve;
      }),
    );
    await vi.advanceTimersByTimeAsync(2_300);
    expect(sent.answers).toEqual([{ is: 'close' }]);
    known();
    await sent.work;
    expect(sent.answers).toHaveLength(1);
    expect(sent.said).toEqual([
      expect.stringMatching(/^Practice only, nothing was recorded\. Recorded for Pebble/),
    ]);
  });
});

describe('what a practice carries', () => {
  it('is not read where it is not whole', () => {
    expect(readPractiseMeta('', 'nina')).toBeNull();
    expect(readPractiseMeta('{"ward":"T0TEST.C0WARD"}', 'nina')).toBeNull();
    const told = (body: object) =>
      JSON.stringify({
        practise: { w: wardId, v: 'fault', k: 'by hand', at: 0, t: [['faultOpened', body, 0]] },
        m: '',
      });
    expect(readPractiseMeta(told({ sign: 'flat' }), 'nina')?.entries).toHaveLength(1);
    expect(readPractiseMeta(told({ sign: 'sideways' }), 'nina')).toBeNull();
  });
});
