import { place } from '../../wording/rich-text.ts';
import { actionValue } from '../action-value.ts';
import { type Bot, type Caller, openView } from '../bot.ts';
import { type Form } from '../form.ts';
import { buttonRow, paragraph } from '../parts.ts';
import { channelOf, wardIdOf } from '../ward-id.ts';
import { wardsOf } from '../wards-of.ts';
import { showMenu } from './show.ts';

/** The shortcut that opens the menu from anywhere: its callback id in the app's manifest. */
export const menuShortcut = 'open_menu';

/** Opens the menu of the caller's ward; where they have several, asks of which. */
export async function onMenuShortcut(bot: Bot, caller: Caller): Promise<void> {
  const wardIds = await wardsOf(bot.deps.record, bot.membership, caller.user, bot.deps.clock.now());
  const [only] = wardIds;
  if (only !== undefined && wardIds.length === 1) return showMenu(bot, { ...caller, wardId: only });
  return openView(bot, caller, wardsView(wardIds, wardIdOf(bot.team, '')));
}

/** Wards offered by name; a view has room for 100 parts. */
const mostWards = 40;

function wardsView(wardIds: readonly string[], none: string): Form {
  const parts =
    wardIds.length === 0
      ? [
          paragraph(
            'No ward of yours has arterial lines here yet. Type /artline in your ward’s channel, or ask to be added to it.',
          ),
        ]
      : wardIds
          .slice(0, mostWards)
          .flatMap((w) => [
            paragraph(place(channelOf(w))),
            buttonRow(`ward:${w}`, [
              { action: 'open:menu', text: 'Open the menu', value: actionValue({ w }) },
            ]),
          ]);
  return {
    id: 'wards',
    title: 'Which ward',
    close: 'Close',
    meta: actionValue({ w: wardIds[0] ?? none }),
    parts,
  };
}
