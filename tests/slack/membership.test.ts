import { WebAPIRateLimitedError, type WebClient } from '@slack/web-api';
import { describe, expect, test } from 'vitest';
import { slackMembership } from '../../src/slack/membership.ts';

const wardId = 'T0TEST.C0WARD';

/** A channel whose members the test changes, and which may be asked too often. */
function channel(members: string[]) {
  const state = { members, isLimited: false, asked: 0, now: 0 };
  const client = {
    conversations: {
      members: async () => {
        state.asked += 1;
        if (state.isLimited) throw new WebAPIRateLimitedError(30);
        return { members: state.members };
      },
    },
  } as unknown as WebClient;
  return { state, membership: slackMembership(client, () => state.now) };
}

describe('who is in a ward’s channel', () => {
  test('is remembered for a minute, so that telling a flush asks nobody', async () => {
    const { state, membership } = channel(['ina']);
    expect(await membership.isIn(wardId, 'ina')).toBe(true);
    state.members = [];
    state.now = 59_000;
    expect([await membership.isIn(wardId, 'ina'), state.asked]).toEqual([true, 1]);
    state.now = 60_000;
    expect(await membership.isIn(wardId, 'ina')).toBe(false);
  });

  test('is asked afresh where that matters: who left a moment ago is not in it', async () => {
    const { state, membership } = channel(['ina']);
    expect(await membership.isIn(wardId, 'ina')).toBe(true);
    state.members = [];
    expect(await membership.isIn(wardId, 'ina', 'afresh')).toBe(false);
  });

  test('where the platform does not tell, memory counts for telling and never where it is asked afresh', async () => {
    const { state, membership } = channel(['ina']);
    expect(await membership.isIn(wardId, 'ina')).toBe(true);
    state.isLimited = true;
    state.now = 3_600_000;
    expect(await membership.isIn(wardId, 'ina')).toBe(true);
    await expect(membership.isIn(wardId, 'ina', 'afresh')).rejects.toThrow(/rate/i);
  });
});
