import type { WebClient } from '@slack/web-api';
import { expect, it } from 'vitest';
import type { Post } from '../../src/app/ports.ts';
import { findPost } from '../../src/slack/find-post.ts';
import { postEventType } from '../../src/slack/post-metadata.ts';
import { wall } from '../support/line-builder.ts';

const list: Post = {
  key: '1.questions.mwugrs4e.vet',
  kind: 'escalation',
  to: { user: 'U0VET' },
  lines: [],
  asked: [],
  at: wall('02:00'),
  about: { what: 'questions' },
};

/** Direct messages with one clinician, newest first: the key and ward of each. */
function messagesOf(...sent: [ts: string, ward: string, key?: string, event?: string][]): WebClient {
  const messages = sent.map(([ts, ward, key = list.key, event_type = postEventType]) => ({
    ts,
    metadata: { event_type, event_payload: { key, ward } },
  }));
  const client = {
    conversations: {
      open: async () => ({ ok: true, channel: { id: 'D0VET' } }),
      history: async () => ({ ok: true, messages }),
    },
  };
  return client as unknown as WebClient;
}

const found = (client: WebClient) => findPost(client, 'T0.C0EAST', list, 0, undefined);

it('takes no other ward’s message for its own, though both wrote to one clinician at the same instant', async () => {
  expect(await found(messagesOf(['2.0', 'T0.C0WEST']))).toBeNull();
  expect(await found(messagesOf(['3.0', 'T0.C0WEST'], ['2.0', 'T0.C0EAST'], ['1.0', 'T0.C0WEST']))).toEqual({
    place: 'D0VET',
    id: '2.0',
  });
});

it('finds the latest of several copies, and names the others', async () => {
  const copies = messagesOf(['3.0', 'T0.C0EAST'], ['2.0', 'T0.C0EAST', 'another'], ['1.0', 'T0.C0EAST']);
  expect(await found(copies)).toEqual({ place: 'D0VET', id: '3.0', others: ['1.0'] });
  expect(await found(messagesOf(['1.0', 'T0.C0EAST', list.key, 'somebody_elses']))).toBeNull();
});
