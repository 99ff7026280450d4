import { flushedJustNow } from '../fluid/flushed-just-now.ts';
import { heparinAskAboveUPerMl } from '../fluid/heparin.ts';
import { usualFlushMl } from '../fluid/usual-flush.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { EntryHead, FlushSource, Telling, TellingOf } from '../record/entry.ts';
import type { HandFlush, LineState } from '../record/line-state.ts';

/**
 * What is asked before a telling is taken, since it is likelier a slip than meant; nothing is recorded until it is answered.
 * `yes`: the telling that a yes amounts to.
 */
export type Question =
  /** `flush` stands just before or after. */
  | { about: 'flushed just now'; flush: HandFlush; yes: Telling & TellingOf<'flushed'> }
  /** Stronger than the ward lets pass without a second look at the label, U/mL. */
  | { about: 'strong heparin'; heparinUPerMl: number; aboveUPerMl: number; yes: Telling };

/**
 * What must be asked before `telling` is taken; null where nothing must, or it was answered already. `adds`: it only adds to
 * what stands.
 */
export function askedFirst(
  line: LineState,
  policy: WardPolicy,
  telling: Telling,
  { at, by }: Pick<EntryHead, 'at' | 'by'>,
  adds = false,
): Question | null {
  const strong = strongHeparin(telling, policy, line.patient.weightKg, by);
  if (strong) return strong;
  if (telling.kind !== 'flushed' || adds) return null;
  const flush = flushedJustNow(line, policy, at);
  if (!flush || (telling.body.again ?? 0) >= flush.entry) return null;
  const yes = { kind: 'flushed' as const, body: { ...telling.body, again: flush.entry } };
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
function strongHeparin(telling: Telling, policy: WardPolicy, weightKg: number, by: string): Question | null {
  const told = telling.kind === 'flushed' ? telling.body : sourceIn(telling);
  if (!told || !isToSeeAgain(told, policy, weightKg)) return null;
  const seen = { ...told, heparinSeenBy: by };
  return {
    about: 'strong heparin',
    heparinUPerMl: told.heparinUPerMl ?? 0,
    aboveUPerMl: heparinAskAboveUPerMl(policy, weightKg),
    yes: {
      kind: telling.kind,
      body: telling.kind === 'flushed' ? seen : { ...telling.body, source: seen },
    } as Telling,
  };
}

function sourceIn(telling: Telling): FlushSource | undefined {
  return telling.kind === 'sourceChanged' ||
    telling.kind === 'flushModeChanged' ||
    telling.kind === 'transducerJoined'
    ? telling.body.source
    : undefined;
}

/**
 * A flush of which nobody told the volume gave the ward's usual one, mL: written down, so that it stays what it was when the
 * ward sets another.
 */
export function withUsualVolume(telling: Telling, policy: WardPolicy, weightKg: number): Telling {
  const usualMl = usualFlushMl(policy, weightKg);
  if (telling.kind === 'flushed' && telling.body.volumeMl === undefined)
    return { kind: 'flushed', body: { ...telling.body, volumeMl: usualMl, usual: true } };
  if (telling.kind === 'sampled' && telling.body.flushed && telling.body.flushMl === undefined)
    return { kind: 'sampled', body: { ...telling.body, flushMl: usualMl, flushUsual: true } };
  if (telling.kind === 'capped' && telling.body.flushed && telling.body.flushMl === undefined)
    return { kind: 'capped', body: { ...telling.body, flushMl: usualMl, flushUsual: true } };
  return telling;
}
