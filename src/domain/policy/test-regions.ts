import { defaultFlushTestRegions, type FlushTestRegions } from '../dynamic-response/regions.ts';
import type { WardPolicy } from './ward-policy.ts';

/** The limits by which a ward judges a measured fast-flush test: its own numbers, and the rest as they ship. */
export function testRegions({ testTooSlowHz, testWantedMultiple }: WardPolicy): FlushTestRegions {
  return {
    ...defaultFlushTestRegions,
    unacceptableBelowHz: testTooSlowHz,
    borderlineBelowHz: Math.max(defaultFlushTestRegions.borderlineBelowHz, testTooSlowHz),
    wantedMultiple: testWantedMultiple,
  };
}
