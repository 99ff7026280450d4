import { WebClient } from '@slack/web-api';
import { describe, expect, it } from 'vitest';
import { wardReportPosts } from '../../src/app/audit-posts.ts';
import { AuditFailed, type Audits } from '../../src/app/audits.ts';
import type { Post } from '../../src/app/ports.ts';
import type { Standing } from '../../src/chat/people.ts';
import { wardAudit } from '../../src/domain/audit/ward-audit.ts';
import type { Drawn } from '../../src/slack/render/message.ts';
import { slackMessenger } from '../../src/slack/slack-messenger.ts';
import { minute, testWard, wall } from '../support/line-builder.ts';

const period = { fromMs: wall('2026-11-01 00:00'), toMs: wall('2026-12-01 00:00') };
const askedAt = wall('2026-12-01 07:00');

describe('a report that is to be sent', () => {
  it('is put off while its count fails, and says so after half an hour instead of for ever', async () => {
    const ward = testWard();
    const state = { fails: true };
    const messenger = slackMessenger(new WebClient(), {
      names: { of: async (user) => user },
      sharePicture: async () => undefined,
      handoverFiles: null,
      command: '/artline',
      clock: { now: () => askedAt },
      people: { standing: async () => 'well', zone: async () => null },
      audits: {
        async of() {
          if (state.fails) throw new AuditFailed('not now');
          const audit = wardAudit({ wardEntries: [], lines: [] }, ward.policy, period);
          return { audit, pictures: [], curvePictures: {} };
        },
      },
    });
    const [post] = wardReportPosts(period, 1, askedAt);
    const composed = async (now: number) => {
      const { message, notYet = false } = await messenger.compose(post!, { ward, lines: [] }, now);
      return notYet ? 'not yet' : (message as Drawn).text;
    };
    expect(await composed(askedAt)).toBe('not yet');
    expect(await composed(askedAt + 29 * minute)).toBe('not yet');
    expect(await composed(askedAt + 30 * minute)).toMatch(
      /, 1 Nov to 30 Nov 2026, could not be counted\. Ask for one: \/artline audit\.$/,
    );
    state.fails = false;
    expect(await composed(askedAt + minute)).toMatch(
      /, 1 Nov to 30 Nov 2026\. Lines\. No arterial line was in\./,
    );
  });
});

describe('whoever a call goes to', () => {
  const messenger = (standing: Standing | null) =>
    slackMessenger(new WebClient(), {
      names: { of: async (user) => user },
      sharePicture: async () => undefined,
      handoverFiles: null,
      command: '/artline',
      clock: { now: () => askedAt },
      people: { standing: async () => standing, zone: async () => null },
      audits: {} as Audits,
    });
  const reader = async (standing: Standing | null) =>
    messenger(standing).lookAtReader?.(testWard().id, 'U0VET');

  it('reads nothing where their account was closed or is a bot’s; what the platform doesn’t tell isn’t known', async () => {
    expect(await reader('well')).toBe('reads');
    expect(await reader('guest')).toBe('reads');
    expect(await reader('deactivated')).toBe('reads nothing');
    expect(await reader('bot')).toBe('reads nothing');
    expect(await reader(null)).toBe('unknown');
  });

  it('is doubted for a day after no message reached them', async () => {
    const call: Post = {
      key: '0.clinician.a.vet.line.1',
      kind: 'escalation',
      to: { user: 'U0VET' },
      lines: [],
      asked: [],
      at: askedAt,
      about: { what: 'clinician' },
    };
    const doubted = async (minutesAgo: number) => {
      const ward = { ...testWard(), unreached: [{ user: 'U0VET', at: askedAt - minutesAgo * minute }] };
      const composed = await messenger('well').compose(call, { ward, lines: [] }, askedAt);
      return composed.wasUnreached ?? false;
    };
    expect(await doubted(5 * 60)).toBe(true);
    expect(await doubted(24 * 60)).toBe(false);
  });
});
