import type { WardView } from '../../app/ports.ts';
import { place } from '../../wording/rich-text.ts';
import { channelOf } from '../ward-id.ts';

/** The ward as its channel. */
export function wardPlace({ ward }: WardView): string {
  return place(channelOf(ward.id));
}
