import { beforeAll, describe, expect, it } from 'vitest';
import { handoverMessages } from '../../support/handed-over.ts';
import { testWard, wall } from '../../support/line-builder.ts';
import { nastyWard } from '../../support/nasty-ward.ts';
import { names } from './compose-for-test.ts';

// What a nurse coming on asks, and where the first post of 12 lines answers it; docs/handover.md says what was found.
describe('a nurse who has read the first post alone knows', () => {
  let post = '';
  beforeAll(async () => {
    const [first] = await handoverMessages(nastyWard(12), testWard(), wall('18:45'), { names });
    post = first?.message.text ?? '';
  });

  it.each([
    ['who is on call tonight', /On call at 19:00: Dr Ada Holm/],
    [
      'which line to worry about first, and why',
      /most urgent first\. Tigger \(dog, R dorsal pedal\): flush overdue since 17:55/,
    ],
    [
      'what to do if Biscuit’s tail is cold again',
      /Biscuit \(.*?cold tail 16:20, gone since 16:50.*?→ If again: call the clinician at once/,
    ],
    ['when Otto is flushed next', /Visits until 07:00\. 18:45 flush: [^;]*☐ Otto/],
    ['who does it', /all go to whoever accepts/],
    ['whose time runs out tonight', /Biscuit \(cat, .*?dwell limit 21:00/],
    [
      'what was missed today',
      /Tigger .*?flush overdue since 17:55, site check since 17:24, redress since 18:00/,
    ],
    [
      'whose pressure was too low, and how it is now',
      /Juno .*?mean 52 \(limit 60\) 14:05; 118\/64 \(82\) 18:00/,
    ],
    [
      'which line had a fault, and how it ended',
      /Pip .*?flat trace 15:10, solved 15:15: bent catheter straightened/,
    ],
    ['which order ends in the night', /Juno .*?targets \(mean 65 or above\) end 02:00/],
    ['who may bleed', /Tigger [^→]*bleeding disorder/],
    [
      'what Rex’s pressure was, and whether to believe it',
      /Stable; doubts are marked.*?Rex: 118\/64 \(82\) 18:00\./,
    ],
  ])('%s', (_question, answer) => {
    expect(post).toMatch(answer);
  });

  it('what this ward does if the tail is cold again, where it has words of its own', async () => {
    const ward = testWard({ againFor: { pain: 'look again in 30 min', cold: 'out & warm it' } });
    const [first] = await handoverMessages(nastyWard(12), ward, wall('18:45'), { names });
    expect(first?.message.text).toMatch(
      /Biscuit \(.*?cold tail 16:20.*?→ If again: out &amp; warm it\. Juno/,
    );
  });
});
