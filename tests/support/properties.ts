import type { IRawProperty, Parameters } from 'fast-check';
import { assert as assertByFastCheck } from 'fast-check';
import { inject } from 'vitest';

export * from 'fast-check';

/**
 * fast-check's `assert`, with as many more cases and from the seed that the run asks for (vitest.config.ts says how).
 * What a test gives itself, a seed with its path for example, stays.
 */
export const assert = (<Values>(property: IRawProperty<Values>, own: Parameters<Values> = {}) => {
  const seed = own.seed ?? inject('propertySeed');
  return assertByFastCheck(property, {
    ...own,
    numRuns: (own.numRuns ?? 100) * inject('propertyTimes'),
    ...(seed === null ? {} : { seed }),
  });
}) as typeof assertByFastCheck;

declare module 'vitest' {
  interface ProvidedContext {
    propertyTimes: number;
    /** Null: another one each time. */
    propertySeed: number | null;
  }
}
