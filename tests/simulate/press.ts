import type { JobDeps } from '../../src/app/app-deps.ts';
import type { Intent } from '../../src/app/decide-drafts.ts';
import type { Placed } from '../../src/app/place-line.ts';
import type { Outcome } from '../../src/app/record-on-lines.ts';
import { RecordUnavailable } from '../../src/app/record-unavailable.ts';
import type { Chance } from '../../src/invented/chance.ts';
import type { World } from './world.ts';

/** How long a person looks at a phone that says nothing before they press again, ms. */
const patienceMs = 20_000;
/** Presses after which a person gives up. */
const mostPresses = 6;

/** A press, what it does, and what its answer means. */
interface Pressing<T> {
  wardId: string;
  by: string;
  what: string;
  doing: (deps: JobDeps, intent: Intent) => Promise<T>;
  answered: (answer: T, once: string) => void;
}

/**
 * Presses by people, each taken by one of the processes that are up. An answer may be lost with the process or on its way:
 * then the platform delivers the same press again, or the person presses once more.
 */
export class Press {
  private readonly world: World;
  private readonly chance: Chance;
  private number = 0;

  constructor(world: World, chance: Chance) {
    this.world = world;
    this.chance = chance;
  }

  lines(
    wardId: string,
    by: string,
    what: string,
    doing: (deps: JobDeps, intent: Intent) => Promise<Outcome>,
    taken: () => void = () => undefined,
  ): void {
    const answered = (outcome: Outcome, once: string) => {
      this.world.checks.kept.linesTold(once, outcome);
      if (outcome.results.some(({ is }) => is === 'taken')) taken();
    };
    this.begin({ wardId, by, what, doing, answered });
  }

  /** `doing` answers with the number of the entry it was told stands in the ward's log; null where there is none. */
  ward(
    wardId: string,
    by: string,
    what: string,
    doing: (deps: JobDeps, intent: Intent) => Promise<number | null>,
  ): void {
    const { kept } = this.world.checks;
    const answered = (number: number | null) => {
      if (number !== null) kept.wardTold(wardId, number, what);
    };
    this.begin({ wardId, by, what, doing, answered });
  }

  placing(
    wardId: string,
    by: string,
    doing: (deps: JobDeps, intent: Intent) => Promise<Placed>,
    placed: (line: string) => void,
  ): void {
    const answered = (answer: Placed) => {
      if (answer.is !== 'placed' && answer.is !== 'already') return;
      this.world.checks.kept.placed(wardId, answer.line.id);
      placed(answer.line.id);
    };
    this.begin({ wardId, by, what: 'place', doing, answered });
  }

  private begin<T>(pressing: Pressing<T>): void {
    this.attempt(pressing, { once: `press${++this.number}`, isAgain: false }, 1);
  }

  private attempt<T>(
    pressing: Pressing<T>,
    { once, isAgain }: { once: string; isAgain: boolean },
    presses: number,
  ): void {
    const { wardId, by, what, doing, answered } = pressing;
    const { wire, tally } = this.world;
    const process = this.world.anyProcess();
    let isOver = false;
    /** `same`: the platform delivers this very press again. */
    const again = (same: boolean) => {
      if (isOver) return;
      isOver = true;
      if (presses >= mostPresses) return;
      const next = same ? { once, isAgain: true } : { once: `press${++this.number}`, isAgain: false };
      wire.time.after(this.chance.between(1_000, 60_000), () => this.attempt(pressing, next, presses + 1));
    };
    tally.add('presses');
    wire.time.after(patienceMs, () => again(this.chance.happens(0.5)));
    if (!process) return;
    wire.trace.add(wire.time.now, by, `presses ${what} (${once}) on ${process.life.name}`);
    doing(process.deps, { wardId, by, via: 'button', once }).then(
      (answer) => {
        // An answer that comes after the person pressed again is an answer all the same.
        isOver = true;
        tally.add('presses answered');
        answered(answer, once);
      },
      (cause: unknown) => {
        wire.trace.add(wire.time.now, by, `${once} failed: ${String(cause)}`);
        if (!(cause instanceof RecordUnavailable)) return this.world.fails(`a press threw: ${String(cause)}`);
        // Of a press that was delivered before nobody can say so.
        if (!cause.mayBeWritten && !isAgain) this.world.checks.kept.notWritten(once);
        again(this.chance.happens(0.3));
      },
    );
  }
}
