import { isToSeeAgain, withUsualVolume } from '../../domain/accept/asked-first.ts';
import { heparinAskAboveUPerMl } from '../../domain/fluid/heparin.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import { withValues } from '../../domain/record/effective-entries.ts';
import { bodySchema, type Entry, type EntryDraft, type FlushSource } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { amendWay } from './amend-ways.ts';
import type { Field, FieldProblem, Values } from './verb.ts';

/** Who looked at the label once more; only of what may hold heparin. */
const seenByField: Field = {
  kind: 'person',
  id: 'heparinSeenBy',
  label: 'Who looked at the label again',
  hint: 'Only where you change the heparin to more than the ward lets pass.',
};

/** The fields of an entry's own values and what stands in them; null of one that has none a person can put right here. */
export function amendFields(entry: Entry): { fields: readonly Field[]; values: Values } | null {
  const way = amendWay(entry);
  if (!way) return null;
  const fields = way.fields.map(asItStands);
  const isHeparin = fields.some(({ id }) => id === 'heparin');
  return { fields: isHeparin ? [...fields, seenByField] : fields, values: way.values };
}

/** A field of a form that shows what stands: what was never recorded is not chosen beforehand. */
function asItStands(field: Field): Field {
  if (field.kind !== 'choice') return field;
  const { initial: _, ...rest } = field;
  return rest;
}

/** Values of a body that no field asks: they stay as they are. */
const unasked: ReadonlySet<string> = new Set([
  'usual',
  'again',
  'heparinSeenBy',
  'volumeSeenBy',
  'flushMl',
  'flushUsual',
  'read',
  'cannot',
]);

/**
 * The values of `entry` that change by what stands in its fields now; null where none does. `before`: the line as it was
 * just before the entry, since the words of a verb are read by how a line stands. A value that was emptied is null: it was
 * never recorded.
 */
export function amendedValues(
  entry: Entry,
  values: Values,
  before: LineState,
  policy: WardPolicy,
): { body: Record<string, unknown> | null } | { problems: FieldProblem[] } {
  const way = amendWay(entry);
  if (!way) return { body: null };
  const { heparinSeenBy, ...own } = values;
  const changedFields = way.fields.filter(({ id }) => !isSame(way.values[id], own[id]));
  if (changedFields.length === 0) return { body: null };
  const given = way.bodyOf(own, before, policy);
  if ('problems' in given) return given;
  const stood = entry.body as Record<string, unknown>;
  const seen = seenAgain(entry, given.body, heparinSeenBy, policy, before.patient.weightKg);
  if ('problems' in seen) return seen;
  const whole = withUsual(entry, seen.body, policy, before.patient.weightKg);
  const body: Record<string, unknown> = Object.fromEntries(
    Object.entries(whole).filter(([key, value]) => !sameValue(value, stood[key])),
  );
  for (const key of Object.keys(stood)) {
    if (key in whole || unasked.has(key)) continue;
    body[key] = null;
  }
  if (!bodySchema(entry.kind).safeParse(withValues(entry.body, body)).success)
    return { problems: notEmptied(changedFields, own) };
  return { body: Object.keys(body).length === 0 ? null : body };
}

function notEmptied(changed: readonly Field[], values: Values): FieldProblem[] {
  const empty = changed.filter(({ id }) => values[id] === undefined);
  return (empty.length > 0 ? empty : changed).map(({ id }) => ({
    field: id,
    message: 'This one is required. Give what’s right, or strike the entry out below and record it again.',
  }));
}

/** The same as it was shown: a form shows three decimals, and ticks have no order. */
function isSame(stood: Values[string] | undefined, given: Values[string] | undefined): boolean {
  if (typeof stood === 'number' && typeof given === 'number') return stood.toFixed(3) === given.toFixed(3);
  if (Array.isArray(stood) || Array.isArray(given)) {
    const [before, now] = [stood, given].map((value): readonly string[] =>
      Array.isArray(value) ? value : [],
    ) as [readonly string[], readonly string[]];
    return before.length === now.length && before.every((one) => now.includes(one));
  }
  return stood === given;
}

/** A flush of which nobody records the volume gave the usual one; one that is recorded is not the usual any more. */
function withUsual(
  entry: Entry,
  body: Record<string, unknown>,
  policy: WardPolicy,
  weightKg: number,
): Record<string, unknown> {
  const stood = entry.body as Record<string, unknown>;
  if (entry.kind === 'flushed') {
    const { body: whole } = withUsualVolume({ kind: 'flushed', body } as EntryDraft, policy, weightKg);
    const isKept = body['volumeMl'] === stood['volumeMl'] || stood['usual'] === undefined;
    return isKept || 'usual' in whole ? { ...whole } : { ...whole, usual: false };
  }
  if ((entry.kind === 'sampled' || entry.kind === 'capped') && stood['flushMl'] === undefined)
    return { ...withUsualVolume({ kind: entry.kind, body } as EntryDraft, policy, weightKg).body };
  return body;
}

/** Heparin that is put right to a strong one wants a second look at the label, as one that is recorded does. */
function seenAgain(
  entry: Entry,
  body: Record<string, unknown>,
  seenBy: Values[string] | undefined,
  policy: WardPolicy,
  weightKg: number,
): { body: Record<string, unknown> } | { problems: FieldProblem[] } {
  const isFlush = entry.kind === 'flushed';
  const given = (isFlush ? body : body['source']) as FlushSource | undefined;
  if (given?.heparinUPerMl === undefined) return { body };
  const stood = (isFlush ? entry.body : (entry.body as { source?: FlushSource }).source) as
    | FlushSource
    | undefined;
  const before =
    stood?.heparinUPerMl === given.heparinUPerMl && stood.heparinSeenBy !== undefined
      ? { heparinSeenBy: stood.heparinSeenBy }
      : {};
  const seen = typeof seenBy === 'string' ? { heparinSeenBy: seenBy } : before;
  const whole = { ...given, ...seen };
  if (isToSeeAgain(whole, policy, weightKg) && stood?.heparinUPerMl !== given.heparinUPerMl) {
    const above = heparinAskAboveUPerMl(policy, weightKg);
    return {
      problems: [
        {
          field: 'heparinSeenBy',
          message: `${given.heparinUPerMl} U/mL is stronger than the ${above} U/mL your ward allows at this weight. Look at the label again and choose who did.`,
        },
      ],
    };
  }
  return { body: isFlush ? { ...whole } : { ...body, source: whole } };
}

/** Whether two values of a body say the same: numbers, words, and what holds them. */
function sameValue(one: unknown, other: unknown): boolean {
  if (typeof one !== 'object' || typeof other !== 'object' || one === null || other === null)
    return one === other;
  const [mine, theirs] = [Object.entries(one), new Map(Object.entries(other))];
  return (
    mine.length === theirs.size &&
    mine.every(([key, value]) => theirs.has(key) && sameValue(value, theirs.get(key)))
  );
}
