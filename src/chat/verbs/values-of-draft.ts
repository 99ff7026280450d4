import type { EntryDraft, FlushSource } from '../../domain/record/entry.ts';
import type { Values } from './verb.ts';

/** What a draft entry was made of, to fill its verb's form in again; null of a draft entry that no question is ever asked of. */
export function valuesOf(draft: EntryDraft): { verb: 'flush' | 'source'; values: Values } | null {
  if (draft.kind === 'flushed') {
    const { volumeMl, heparinUPerMl } = draft.body;
    return { verb: 'flush', values: known({ volume: volumeMl, heparin: heparinUPerMl }) };
  }
  if (draft.kind === 'sourceChanged') {
    const what = draft.body.newSet ? 'changed with new set' : 'changed';
    return { verb: 'source', values: known({ what, ...ofSource(draft.body.source) }) };
  }
  if (draft.kind === 'flushModeChanged') {
    const what = draft.body.mode === 'manual' ? 'to manual' : 'to continuous';
    return { verb: 'source', values: known({ what, ...ofSource(draft.body.source) }) };
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
