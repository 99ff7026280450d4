import type { FlushSource, Telling } from '../../domain/record/entry.ts';
import type { Values } from './verb.ts';

/** What a telling was made of, to fill its verb's form in again; null of a telling that no question is ever asked of. */
export function valuesTold(telling: Telling): { verb: 'flush' | 'source'; values: Values } | null {
  if (telling.kind === 'flushed') {
    const { volumeMl, heparinUPerMl } = telling.body;
    return { verb: 'flush', values: known({ volume: volumeMl, heparin: heparinUPerMl }) };
  }
  if (telling.kind === 'sourceChanged') {
    const what = telling.body.newSet ? 'changed with new set' : 'changed';
    return { verb: 'source', values: known({ what, ...ofSource(telling.body.source) }) };
  }
  if (telling.kind === 'flushModeChanged') {
    const what = telling.body.mode === 'manual' ? 'to manual' : 'to continuous';
    return { verb: 'source', values: known({ what, ...ofSource(telling.body.source) }) };
  }
  return null;
}

/** A flush source as the fields that ask it. */
export function ofSource(source: FlushSource | undefined) {
  return {
    kind: source?.kind,
    volume: source?.volumeMl,
    rate: source?.rateMlPerH,
    pressure: source?.pressureMmHg,
    heparin: source?.heparinUPerMl,
  };
}

function known(values: Record<string, string | number | undefined>): Values {
  return Object.fromEntries(
    Object.entries(values).filter((entry): entry is [string, string | number] => entry[1] !== undefined),
  );
}
