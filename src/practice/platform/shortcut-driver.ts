import type { PlatformCore } from './core.ts';
import type { Delivery } from './delivery.ts';
import type { DeliveryDesk } from './delivery-desk.ts';
import { messageShortcutPayload, shortcutPayload } from './payloads.ts';
import { person, placeOf } from './people.ts';
import type { PracticeWorld } from './world.ts';

export type ShortcutDriver = ReturnType<typeof shortcutDriver>;

function checkDeclared(what: string, declared: PracticeWorld['shortcuts'], callbackId: string): void {
  if (declared.some((one) => one.callbackId === callbackId)) return;
  const names = declared.map((one) => one.callbackId).join(', ');
  throw new Error(`The app declares no ${what} '${callbackId}'; it declares ${names || 'none'}.`);
}

/** Shortcuts that the app declares. */
export function shortcutDriver(core: PlatformCore, desk: DeliveryDesk) {
  return {
    /** Chooses a shortcut that stands everywhere. @throws on one that the world does not declare. */
    async shortcut(given: { user: string; callbackId: string }): Promise<Delivery> {
      const { callbackId } = given;
      const user = person(core, given.user);
      checkDeclared('shortcut', core.world.globalShortcuts, callbackId);
      const triggerId = core.triggers.issue({ userId: user.id });
      return desk.send('interactive', shortcutPayload(core, user, callbackId, triggerId));
    },
    /** Chooses a shortcut from a message's menu. @throws on one that the world does not declare. */
    async messageShortcut(given: {
      user: string;
      channel: string;
      messageTs: string;
      callbackId: string;
    }): Promise<Delivery> {
      const { channel, messageTs, callbackId } = given;
      const user = person(core, given.user);
      const conversation = placeOf(core, user, channel);
      checkDeclared('message shortcut', core.world.shortcuts, callbackId);
      const message = core.workspace.message(channel, messageTs);
      if (!message) throw new Error(`There is no message ${messageTs} in ${channel}.`);
      const payload = messageShortcutPayload(core, user, conversation, {
        callbackId,
        message,
        triggerId: core.triggers.issue({ userId: user.id }),
        responseUrl: core.responseUrls.issue({ channel, userId: user.id, messageTs }),
      });
      return desk.sendFor('interactive', payload, channel, user.id);
    },
  };
}
