import { defaultFlushTestRegions, type FlushTestRegions } from '../dynamic-response/regions.ts';
import type { ResponseLimits } from '../dynamic-response/response-at.ts';
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

/** What a ward wants of a measured line before its systolic and diastolic are trusted. */
export function responseLimits(policy: WardPolicy): ResponseLimits {
  return { regions: testRegions(policy), errorMmHg: policy.lineErrorLimitMmHg };
}
