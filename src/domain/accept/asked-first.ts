import { flushedJustNow } from '../fluid/flushed-just-now.ts';
import { heparinAskAboveUPerMl } from '../fluid/heparin.ts';
import { flushAskAboveMl, usualFlushMl } from '../fluid/usual-flush.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { DraftOf, EntryDraft, EntryHead, FlushSource } from '../record/entry.ts';
import type { HandFlush, LineState } from '../record/line-state.ts';

/**
 * What is asked before a draft entry is taken, since it is likelier a slip than meant; nothing is recorded until it is answered.
 * `yes`: the draft that a yes amounts to.
 */
export type Question =
  /** `flush` stands just before or after. */
  | { about: 'flushed just now'; flush: HandFlush; yes: EntryDraft & DraftOf<'flushed'> }
  /** Stronger than the ward lets pass without a second look at the label, U/mL. */
  | { about: 'strong heparin'; heparinUPerMl: number; aboveUPerMl: number; yes: EntryDraft }
  /** Larger than the ward lets pass in an animal of this weight without a second look at the syringe, mL. */
  | { about: 'large flush'; volumeMl: number; usualMl: number; yes: EntryDraft & DraftOf<'flushed'> };

/**
 * What must be asked before `draft` is taken; null where nothing must, or it was answered already. `adds`: it only adds to
 * what stands.
 */
export function askedFirst(
  line: LineState,
  policy: WardPolicy,
  draft: EntryDraft,
  { at, by }: Pick<EntryHead, 'at' | 'by'>,
  adds = false,
): Question | null {
  const strong = strongHeparin(draft, policy, line.patient.weightKg, by);
  if (strong) return strong;
  if (draft.kind !== 'flushed') return null;
  const large = largeFlush(draft, policy, line.patient.weightKg, by);
  if (large) return large;
  if (adds) return null;
  const flush = flushedJustNow(line, policy, at);
  if (!flush || (draft.body.again ?? 0) >= flush.entry) return null;
  const yes = { kind: 'flushed' as const, body: { ...draft.body, again: flush.entry } };
  return { about: 'flushed just now', flush, yes };
}

/** Whether heparin (U/mL) is stronger than the ward lets pass in an animal of this weight (kg) unless somebody looked again. */
export function isToSeeAgain(
  { heparinUPerMl = 0, heparinSeenBy }: Pick<FlushSource, 'heparinUPerMl' | 'heparinSeenBy'>,
  policy: WardPolicy,
  weightKg: number,
): boolean {
  return heparinSeenBy === undefined && heparinUPerMl > heparinAskAboveUPerMl(policy, weightKg);
}

/** Whoever says yes has looked at the label again. */
function strongHeparin(draft: EntryDraft, policy: WardPolicy, weightKg: number, by: string): Question | null {
  const given = draft.kind === 'flushed' ? draft.body : sourceIn(draft);
  if (!given || !isToSeeAgain(given, policy, weightKg)) return null;
  const seen = { ...given, heparinSeenBy: by };
  return {
    about: 'strong heparin',
    heparinUPerMl: given.heparinUPerMl ?? 0,
    aboveUPerMl: heparinAskAboveUPerMl(policy, weightKg),
    yes: {
      kind: draft.kind,
      body: draft.kind === 'flushed' ? seen : { ...draft.body, source: seen },
    } as EntryDraft,
  };
}

/** Whoever says yes has looked at the syringe again. */
function largeFlush(
  { body }: DraftOf<'flushed'>,
  policy: WardPolicy,
  weightKg: number,
  by: string,
): Question | null {
  const { volumeMl = 0, volumeSeenBy } = body;
  if (volumeSeenBy !== undefined || volumeMl <= flushAskAboveMl(policy, weightKg)) return null;
  const yes = { kind: 'flushed' as const, body: { ...body, volumeSeenBy: by } };
  return { about: 'large flush', volumeMl, usualMl: usualFlushMl(policy, weightKg), yes };
}

function sourceIn(draft: EntryDraft): FlushSource | undefined {
  return draft.kind === 'sourceChanged' ||
    draft.kind === 'flushModeChanged' ||
    draft.kind === 'transducerJoined'
    ? draft.body.source
    : undefined;
}

/**
 * A flush of which nobody recorded the volume gave the ward's usual one, mL: written down, so that it stays what it was when the
 * ward sets another.
 */
export function withUsualVolume(draft: EntryDraft, policy: WardPolicy, weightKg: number): EntryDraft {
  const usualMl = usualFlushMl(policy, weightKg);
  if (draft.kind === 'flushed' && draft.body.volumeMl === undefined)
    return { kind: 'flushed', body: { ...draft.body, volumeMl: usualMl, usual: true } };
  if (draft.kind === 'sampled' && draft.body.flushed && draft.body.flushMl === undefined)
    return { kind: 'sampled', body: { ...draft.body, flushMl: usualMl, flushUsual: true } };
  if (draft.kind === 'capped' && draft.body.flushed && draft.body.flushMl === undefined)
    return { kind: 'capped', body: { ...draft.body, flushMl: usualMl, flushUsual: true } };
  return draft;
}
