import { WebClient } from '@slack/web-api';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { hurriedClock } from '../../src/app/clock.ts';
import type { Json } from '../../src/practice/platform/message.ts';
import type { Platform } from '../../src/practice/platform/platform.ts';
import { startPlatform } from '../../src/practice/platform/start-platform.ts';
import { practiceWorld } from '../../src/practice/practice-world.ts';
import { eveningMs, weighingForm } from './tiny-app.ts';

// Source: views.open, views.push, views.update method pages; surfaces/modals.

let platform: Platform;
let client: WebClient;
let realMs = 1_000_000;

beforeEach(async () => {
  platform = await startPlatform({
    port: 0,
    world: practiceWorld(),
    clock: hurriedClock(eveningMs, 1),
    rateLimit: null,
    deliverTo: 'socket',
    realNow: () => realMs,
  });
  client = new WebClient(platform.world.app.botToken, {
    slackApiUrl: platform.apiUrl,
    retryConfig: { retries: 0 },
  });
});
afterEach(() => platform.stop());

const trigger = (viewId?: string) =>
  platform.core.triggers.issue({ userId: 'U0NURSEINA', ...(viewId === undefined ? {} : { viewId }) });
const openForm = async (more: Json = {}) => {
  const view = { ...weighingForm, ...more };
  const opened = await client.views.open({ trigger_id: trigger(), view });
  return opened.view as unknown as { id: string; hash: string };
};

describe('triggers', () => {
  it('work once, within 3 s of real time', async () => {
    const id = trigger();
    await client.views.open({ trigger_id: id, view: weighingForm });
    await expect(client.views.open({ trigger_id: id, view: weighingForm })).rejects.toThrow(
      'exchanged_trigger_id',
    );
    const old = trigger();
    realMs += 3_001;
    await expect(client.views.open({ trigger_id: old, view: weighingForm })).rejects.toThrow(
      'expired_trigger_id',
    );
    await expect(client.views.open({ trigger_id: '1.2.3', view: weighingForm })).rejects.toThrow(
      'invalid_trigger_id',
    );
  });
});

describe('views', () => {
  it('carry the keys the chat platform gives them', async () => {
    const view = await openForm();
    expect(Object.keys(view).sort()).toEqual(
      [
        'app_id',
        'app_installed_team_id',
        'blocks',
        'bot_id',
        'callback_id',
        'clear_on_close',
        'close',
        'external_id',
        'hash',
        'id',
        'notify_on_close',
        'previous_view_id',
        'private_metadata',
        'root_view_id',
        'state',
        'submit',
        'team_id',
        'title',
        'type',
      ].sort(),
    );
  });

  it('stack three deep and no deeper', async () => {
    const root = await openForm();
    await client.views.push({ trigger_id: trigger(root.id), view: weighingForm });
    await client.views.push({ trigger_id: trigger(root.id), view: weighingForm });
    await expect(client.views.push({ trigger_id: trigger(root.id), view: weighingForm })).rejects.toThrow(
      'push_limit_reached',
    );
    const top = platform.view('ina');
    expect(top?.rootViewId).toBe(root.id);
    await platform.close({ user: 'ina', viewId: top?.id ?? '' });
    expect(platform.view('ina')?.previousViewId).toBe(root.id);
    await platform.close({ user: 'ina', viewId: platform.view('ina')?.id ?? '', all: true });
    expect(platform.view('ina')).toBeUndefined();
  });

  it('refuse an update with an old hash, of no view, or under an external_id already taken', async () => {
    const { id, hash } = await openForm({ external_id: 'one' });
    await client.views.update({ view_id: id, hash, view: { ...weighingForm, external_id: 'one' } });
    await expect(client.views.update({ view_id: id, hash, view: weighingForm })).rejects.toThrow(
      'hash_conflict',
    );
    await expect(client.views.update({ view_id: 'V9', view: weighingForm })).rejects.toThrow('not_found');
    await expect(openForm({ external_id: 'one' })).rejects.toThrow('duplicate_external_id');
    await client.views.update({ external_id: 'one', view: weighingForm });
  });

  it('keep what was filled in over an update that keeps block and action ids', async () => {
    const { id } = await openForm();
    await platform.fill(id, { name: 'Biscuit', species: 'cat' });
    const blocks = weighingForm.blocks.filter((block) => block.block_id !== 'species');
    await client.views.update({ view_id: id, view: { ...weighingForm, blocks } });
    expect(platform.view('ina')?.values).toEqual({
      name: { name: { type: 'plain_text_input', value: 'Biscuit' } },
      weight: { weight: { type: 'number_input', value: null } },
      when: { when: { type: 'datetimepicker', selected_date_time: eveningMs / 1000 } },
    });
  });

  it('take only values a person could put in', async () => {
    const { id } = await openForm();
    await expect(platform.fill(id, { species: 'dragon' })).rejects.toThrow(
      "offers no option 'dragon'; it offers 'dog', 'cat'",
    );
    await expect(platform.fill(id, { colour: 'red' })).rejects.toThrow("no input 'colour'");
    await expect(platform.submit({ user: 'teo', viewId: id })).rejects.toThrow('teo has no form');
  });

  it.each([
    [{ name: 'x'.repeat(41) }, 'name', 'Write at most 40 characters; this is 41.'],
    [{ weight: '0.05' }, 'weight', 'Write 0.1 or more.'],
    [{ weight: 'heavy' }, 'weight', 'Write a number, such as 12; this is “heavy”.'],
    [{ weight: null }, 'weight', 'This is needed. Fill it in.'],
  ])('are checked by the client before anything is sent: %j', async (wrong, block, sentence) => {
    const { id } = await openForm();
    await platform.fill(id, { name: 'Biscuit', species: 'dog', weight: '28', ...wrong });
    const sent = await platform.submit({ user: 'ina', viewId: id });
    expect(sent.errors).toEqual({ [block]: sentence });
    expect(platform.deliveries).toEqual([]);
  });
});
