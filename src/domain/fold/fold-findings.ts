import { type CauseOf, sooner } from '../record/causes.ts';
import type { EffectiveEntry } from '../record/effective-entries.ts';
import { type Entry, type EntryOf, isAlarming, isLimbAlarming, type SiteFinding } from '../record/entry.ts';
import type { Done, LineState } from '../record/line-state.ts';
import { isLimbNews } from './limb-after-removal.ts';

/** What a new dressing changes; where the site was looked at with it, that as well. */
export function redressedNow(
  before: LineState,
  { body }: EntryOf<'redressed'>,
  effective: EffectiveEntry,
  done: Done,
  causeOf: CauseOf,
): Partial<LineState> {
  const cause = causeOf('redressed');
  return {
    redressCause: null,
    zeroCause: sooner(before.zeroCause, cause),
    ...(body.finding
      ? siteSeenNow(before, body.finding, effective, done)
      : { siteCause: sooner(before.siteCause, cause) }),
  };
}

/** What a look at the site changes; a soiled dressing asks for a new one. */
export function siteCheckedNow(
  before: LineState,
  { body }: EntryOf<'siteChecked'>,
  effective: EffectiveEntry,
  done: Done,
  causeOf: CauseOf,
): Partial<LineState> {
  return {
    ...siteSeenNow(before, body.finding, effective, done),
    ...(body.finding.soiled ? { redressCause: sooner(before.redressCause, causeOf('soiled')) } : {}),
  };
}

function siteSeenNow(
  before: LineState,
  finding: SiteFinding,
  effective: EffectiveEntry,
  done: Done,
): Partial<LineState> {
  return {
    siteSeen: done,
    siteCause: null,
    siteFinding: { finding, at: done.at, by: done.by },
    ...siteLookedAt(before, finding, done, signsKnownAt(effective)),
  };
}

/** What changes when the line comes out: what was recorded of its limb afterwards is recorded anew. */
export function removedNow(
  before: LineState,
  { at, told, by, body }: EntryOf<'removed'>,
  effective: EffectiveEntry,
  done: Done,
): Partial<LineState> {
  const knownSince = signsKnownAt(effective);
  const isTipMissing = body.tipWhole === false && !body.pieceFound;
  return {
    removed: { ...body, at, told, by },
    tipMissing: isTipMissing ? { ...done, told: knownSince } : null,
    // A removal recorded before and struck may have left a hold or a pulse check behind; they were not after this one.
    holdFrom: at,
    heldAgainRecordedAt: null,
    holdEnded: null,
    pulsesAfterRemoval: [],
    ...(body.finding
      ? {
          siteFinding: { finding: body.finding, at, by },
          ...siteLookedAt(before, body.finding, done, knownSince),
        }
      : {}),
  };
}

/** What a look at the limb's pulse changes. */
export function pulseNow(
  before: LineState,
  { at, by, body }: EntryOf<'pulseChecked'>,
  effective: EffectiveEntry,
  done: Done,
): Partial<LineState> {
  return {
    pulse: { ...body, at, by },
    ...limbLookedAt(before, body, done, signsKnownAt(effective)),
    ...(before.removed ? { pulsesAfterRemoval: [...before.pulsesAfterRemoval, done] } : {}),
  };
}

/** What changes when the hold ended, or goes on because the puncture still oozed. */
export function holdNow(
  before: LineState,
  { at, body }: EntryOf<'holdEnded'>,
  effective: EffectiveEntry,
  done: Done,
): Partial<LineState> {
  if (!body.oozing) return { holdEnded: done };
  // What oozes after a second hold is a finding: it does not stop by itself.
  const first = before.heldAgainRecordedAt;
  const told = Math.max(signsKnownAt(effective), first ?? 0);
  return {
    holdFrom: at,
    heldAgainRecordedAt: told,
    // Known since both were recorded, in whatever order.
    ...(before.removed !== null && first !== null ? siteLookedAt(before, { ooze: true }, done, told) : {}),
  };
}

type FindingState = Pick<LineState, 'finding' | 'findingGone'>;

/** Signs at the site itself, which a pulse check does not see. */
function hasSiteSigns({ swelling, pain, ooze }: SiteFinding): boolean {
  return Boolean(swelling || pain || ooze);
}

/**
 * A look at the site sees the part below it as well: nothing alarming there ends any finding that was recorded before it. What
 * was recorded after a look, of a time before it, is news: then both stand.
 */
function siteLookedAt(
  { finding: open, findingGone }: LineState,
  seen: SiteFinding,
  done: Done,
  told: number,
): FindingState {
  const isLater = open !== null && open.told > told;
  if (!isAlarming(seen)) {
    if (open === null || isLater) return { finding: open, findingGone };
    return { finding: null, findingGone: { ...done, told } };
  }
  if (!isLater) return { finding: { ...done, told, site: seen, limb: null }, findingGone };
  return { finding: { ...open, site: { ...open.site, ...seen } }, findingGone };
}

function limbLookedAt(
  { finding: open, findingGone, removed, pulse, pulsesAfterRemoval }: LineState,
  body: EntryOf<'pulseChecked'>['body'],
  done: Done,
  told: number,
): FindingState {
  const isLater = open !== null && open.told > told;
  const before = pulsesAfterRemoval.length > 0 ? pulse : null;
  const isAlarmingItself = isLimbAlarming(body);
  // A pulse that was absent and is weak now is better, not news: the finding stands as it was recorded.
  const isNews =
    isAlarmingItself || (!open?.limb && isLimbNews(body, before, done.at - (removed?.at ?? done.at)));
  if (isNews) {
    const limb = isAlarmingItself || before === null ? body : { ...body, before: before.pulse };
    if (isLater) return { finding: { ...open, limb: open.limb ?? limb }, findingGone };
    return { finding: { ...done, told, site: open?.site ?? {}, limb }, findingGone };
  }
  if (open === null || isLater || body.pulse !== 'present') return { finding: open, findingGone };
  const { swelling, pain, ooze } = open.site;
  if (!hasSiteSigns(open.site)) return { finding: null, findingGone: { ...done, told } };
  const site = Object.fromEntries(Object.entries({ swelling, pain, ooze }).filter(([, sign]) => sign));
  return { finding: { ...open, site, limb: null }, findingGone };
}

/**
 * When alarming signs were recorded, ms: where an amendment added some, when that was recorded. Signs that stood already are no
 * news.
 */
function signsKnownAt({ entry, amended }: EffectiveEntry): number {
  const told = Math.max(entry.at, entry.told);
  if (!amended) return told;
  const signs = (one: Entry) => {
    const {
      finding = {},
      pulse = 'present',
      cold,
      tipWhole,
      pieceFound,
    } = one.body as {
      finding?: SiteFinding;
      pulse?: string;
      cold?: boolean;
      tipWhole?: boolean;
      pieceFound?: boolean;
    };
    const named = Object.entries({
      ...finding,
      soiled: false,
      coldLimb: cold,
      absent: pulse === 'absent',
      notPresent: pulse !== 'present',
      missing: tipWhole === false && !pieceFound,
    });
    return named.filter(([, seen]) => seen).map(([sign]) => sign);
  };
  const before = signs(amended.first);
  return signs(entry).some((sign) => !before.includes(sign)) ? Math.max(told, amended.told) : told;
}
