import type { UsersInfoResponse, WebClient } from '@slack/web-api';
import { describe, expect, it } from 'vitest';
import { slackPeople } from '../../src/slack/people.ts';

const ours = 'T0OURS';

/** What `users.info` says of somebody, and how often it was asked. */
function account(user: NonNullable<UsersInfoResponse['user']>) {
  let asked = 0;
  const info = async () => {
    asked += 1;
    return { ok: true, user };
  };
  const people = slackPeople({ users: { info } } as unknown as WebClient, () => 0);
  return { standing: () => people.standing('U0ONE', ours), asked: () => asked };
}

// The user object as docs.slack.dev has it: `enterprise_user.teams` are the workspaces of the organisation that they are in.
describe('an account', () => {
  it.each([
    ['well', { team_id: ours }],
    ['elsewhere', { team_id: 'T0OTHER' }],
    ['well', { team_id: 'T0OTHER', enterprise_user: { teams: ['T0OTHER', ours] } }],
    ['well', { enterprise_user: { teams: [ours] } }],
    ['elsewhere', { team_id: 'T0OTHER', enterprise_user: { teams: ['T0OTHER', 'T0THIRD'] } }],
    ['guest', { team_id: 'T0OTHER', enterprise_user: { teams: [ours] }, is_restricted: true }],
    ['deactivated', { team_id: 'T0OTHER', deleted: true }],
    ['bot', { team_id: ours, is_bot: true }],
  ])('is %s as the platform describes it: %j', async (standing, described) => {
    const one = account({ id: 'U0ONE', ...described });
    expect([await one.standing(), await one.standing(), one.asked()]).toEqual([standing, standing, 1]);
  });
});
