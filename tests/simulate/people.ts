import type { JobDeps } from '../../src/app/app-deps.ts';
import type { Intent } from '../../src/app/decide-drafts.ts';
import { acceptHandover } from '../../src/app/hand-over.ts';
import { placeLine } from '../../src/app/place-line.ts';
import type { Post } from '../../src/app/ports.ts';
import { recordOnLines } from '../../src/app/record-on-lines.ts';
import { recordOnWard } from '../../src/app/record-on-ward.ts';
import { dutiesOfLine } from '../../src/domain/duties/duties-of-line.ts';
import { usualDrafts } from '../../src/domain/duties/usual-drafts.ts';
import type { DutyKind } from '../../src/domain/duty-kind.ts';
import type { DraftOf, EntryDraft } from '../../src/domain/record/entry.ts';
import type { WardDraft } from '../../src/domain/ward/ward-entry.ts';
import type { Chance } from '../../src/invented/chance.ts';
import type { Press } from './press.ts';
import type { World } from './world.ts';

const minuteMs = 60_000;
const hourMs = 60 * minuteMs;

/** How the people of a run behave. */
export interface Manner {
  /** Share of messages acted on. */
  acts: number;
  /** Minutes from message to bedside. */
  afterMin: [number, number];
}

/** People who act on what they see on their phones, and now and then of their own accord. */
export class People {
  private readonly world: World;
  private readonly chance: Chance;
  private readonly manner: Manner;
  private readonly press: Press;
  private animals = 0;
  private readonly out = new Set<string>();

  constructor(world: World, chance: Chance, manner: Manner, press: Press) {
    this.world = world;
    this.chance = chance;
    this.manner = manner;
    this.press = press;
  }

  begin(wardId: string, lines: number, isCalled: boolean): void {
    for (let line = 0; line < lines; line++)
      this.later([0.1, 20], () => this.admit(wardId, this.chance.between(0, 6) * hourMs));
    if (isCalled) this.later([1, 30], () => this.setOnCall(wardId));
  }

  /** A message came to where people look. */
  sees(wardId: string, post: Post): void {
    const { chance, manner } = this;
    if (post.about?.what === 'accept') {
      if (chance.happens(manner.acts)) this.later([1, 20], () => this.accept(wardId, post.about?.for ?? 0));
      return;
    }
    if (post.asked.length === 0 || !chance.happens(manner.acts)) return;
    const who = post.to === 'ward' ? (post.about?.user ?? 'nurse') : post.to.user;
    this.later(manner.afterMin, () => {
      // Two who saw the same message may both press, on whichever process their press comes to.
      const both = chance.happens(0.05) ? [who, 'second'] : [who];
      for (const [line, asked] of Map.groupBy(post.asked, ({ lineId }) => lineId))
        for (const by of both) void this.care(wardId, line, new Set(asked.map(({ kind }) => kind)), by);
    });
  }

  private later([low, high]: [number, number], act: () => void): void {
    this.world.wire.time.after(this.chance.between(low, high) * minuteMs, act);
  }

  private record(wardId: string, by: string, lineId: string, ...drafts: EntryDraft[]): void {
    if (drafts.length === 0) return;
    this.press.lines(wardId, by, drafts[0]?.kind ?? '', (deps, intent) =>
      recordOnLines(
        deps,
        intent,
        drafts.map((draft) => ({ lineId, draft })),
      ),
    );
  }

  private async care(
    wardId: string,
    lineId: string,
    kinds: ReadonlySet<DutyKind>,
    by: string,
  ): Promise<void> {
    const { chance, world } = this;
    const { ward, lines } = await world.peek(wardId);
    const line = lines.find(({ id }) => id === lineId);
    if (!line) return;
    const now = Math.floor(world.wire.time.now);
    const open = dutiesOfLine(line, ward.policy, now).filter(
      ({ kind, earliestAt }) => kinds.has(kind) && earliestAt <= now,
    );
    const first = open[0];
    if (!first) return;
    const here = open.map(({ kind }) => kind);
    const duties = open.map(({ kind, dueAt }) => [kind, dueAt] as [DutyKind, number]);
    const other = chance.share();
    if (other < 0.04)
      return this.record(wardId, by, lineId, {
        kind: 'snoozed',
        body: { duties: duties.slice(0, 1), until: now + 15 * minuteMs },
      });
    if (other < 0.07)
      return this.record(wardId, by, lineId, {
        kind: 'noted',
        body: { text: 'cannot reach the limb', cannot: duties[0] ?? ['flush', 0] },
      });
    if (other < 0.1)
      return this.record(wardId, by, lineId, {
        kind: 'claimed',
        body: { duties, until: now + 20 * minuteMs },
      });
    const bad = chance.happens(0.03);
    const usual = usualDrafts(here).map(
      (draft): EntryDraft =>
        draft.kind === 'siteChecked' && bad
          ? { kind: 'siteChecked', body: { finding: { swelling: true } } }
          : draft,
    );
    this.record(wardId, by, lineId, ...usual);
    if (here.includes('runOut') || here.includes('set'))
      this.record(wardId, by, lineId, { kind: 'sourceChanged', body: { source: bag, newSet: true } });
    if (here.includes('finding'))
      this.record(wardId, by, lineId, { kind: 'siteChecked', body: { finding: {} } });
    if (here.includes('stillNeeded') && first.kind === 'stillNeeded')
      this.record(wardId, by, lineId, {
        kind: 'waived',
        body: {
          duty: 'stillNeeded',
          dueAt: first.dueAt,
          reason: 'still needed',
          until: now + 24 * hourMs,
        },
      });
    if (here.includes('dwellLimit') || here.includes('dwellWarning')) this.takeOut(wardId, lineId, by);
  }

  private takeOut(wardId: string, lineId: string, by: string): void {
    const body: DraftOf<'removed'>['body'] = { reason: 'planned', finding: {}, tipWhole: true };
    this.press.lines(
      wardId,
      by,
      'removed',
      (deps, intent) => recordOnLines(deps, intent, [{ lineId, draft: { kind: 'removed', body } }]),
      () => {
        this.out.add(lineId);
        // A bed does not stay empty for long.
        this.later([20, 120], () => this.admit(wardId, 0));
      },
    );
  }

  private admit(wardId: string, agoMs: number): void {
    const { chance, press, world } = this;
    const number = ++this.animals;
    const isManual = chance.happens(0.6);
    const body: DraftOf<'placed'>['body'] = {
      patient: {
        name: `Animal ${number}`,
        species: chance.happens(0.2) ? 'cat' : 'dog',
        weightKg: chance.happens(0.5) ? 4 : 25,
      },
      site: 'dorsal pedal',
      side: 'left',
      gauge: 22,
      flushMode: isManual ? 'manual' : 'continuous',
      ...(isManual ? {} : { source: bag }),
      nurse: chance.pick(['nina', 'nell'] as const),
    };
    const at = Math.floor(world.wire.time.now - agoMs);
    press.placing(
      wardId,
      body.nurse,
      (deps, intent) => placeLine(deps, { ...intent, at }, body),
      (line) => {
        if (this.manner.acts === 0) return;
        this.later([1, 8], () => this.record(wardId, body.nurse, line, ...usualDrafts(['zero', 'test'])));
        this.sampleLater(wardId, line, body.nurse);
        this.later([20 * 60, 70 * 60], () => this.out.has(line) || this.takeOut(wardId, line, body.nurse));
      },
    );
  }

  private sampleLater(wardId: string, line: string, by: string): void {
    this.later([60, 16 * 60], () => {
      if (this.out.has(line)) return;
      this.record(wardId, by, line, {
        kind: 'sampled',
        body: { volumeMl: 1, discardMl: 2, discardReturned: true, flushed: true },
      });
      this.sampleLater(wardId, line, by);
    });
  }

  private accept(wardId: string, forMs: number): void {
    this.press.ward(wardId, 'nell', 'accept', async (deps, intent) => {
      await acceptHandover(deps, intent, forMs, 'all');
      return null;
    });
  }

  private setOnCall(wardId: string): void {
    const user = this.chance.pick(['vera', 'viktor'] as const);
    this.recordOnWard(wardId, 'nina', { kind: 'onCallSet', body: { user } });
    this.later([6 * 60, 20 * 60], () => this.setOnCall(wardId));
  }

  private recordOnWard(wardId: string, by: string, draft: WardDraft): void {
    this.press.ward(wardId, by, draft.kind, async (deps: JobDeps, intent: Intent) => {
      const told = await recordOnWard(deps, intent, draft);
      return told.is === 'taken' ? told.view.ward.version : null;
    });
  }
}

const bag = { kind: 'pressure bag', volumeMl: 500, rateMlPerH: 3, pressureMmHg: 300 } as const;
