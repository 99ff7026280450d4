import type { ClockAnswer, ClockChange, PageState, Problem } from '../page-messages.ts';
import { setClock } from './api.ts';
import { busyWith, need } from './dom.ts';
import { clockTime, clockTimeWithSeconds, wardDay, zoneName } from './ward-time.ts';

const drawEveryMs = 200;
const paces = [1, 60, 600] as const;

/** The ward clock of the top bar: shows ward time, sets its pace, jumps. */
export class ClockBar {
  readonly #time = need('#clock-time', HTMLElement);
  readonly #day = need('#clock-day', HTMLElement);
  readonly #pace = need('#pace', HTMLElement);
  readonly #jump = need('#jump', HTMLElement);
  readonly #say: (text: string) => void;
  /** The ward clock as last given, and when that was on the page's own. */
  #last: (ClockAnswer & { atMs: number }) | null = null;
  #zone = 'UTC';

  constructor(say: (text: string) => void) {
    this.#say = say;
    setInterval(() => this.#draw(), drawEveryMs);
    this.#pace.addEventListener('change', () => void this.#changePace());
    this.#jump.addEventListener('click', () => void busyWith(this.#jump, () => this.#jumpOn()));
  }

  readonly nowMs = (): number =>
    this.#last === null
      ? Date.now()
      : this.#last.nowMs + (performance.now() - this.#last.atMs) * this.#last.rate;

  /** Takes over the clock of a fresh state. */
  take({ wardZone, clock }: PageState): void {
    this.#zone = wardZone;
    this.#set(clock);
    this.#pace.hidden = !clock.canHurry;
    this.#jump.hidden = !clock.canJump;
    const box = this.#pace.querySelector(`input[value="${clock.rate}"]`);
    if (box instanceof HTMLInputElement && !this.#pace.contains(document.activeElement)) box.checked = true;
    this.#draw();
  }

  #set({ nowMs, rate }: ClockAnswer): void {
    this.#last = { nowMs, rate, atMs: performance.now() };
  }

  #draw(): void {
    if (this.#last === null) return;
    const now = this.nowMs();
    const time = this.#last.rate < 600 ? clockTimeWithSeconds : clockTime;
    show(this.#time, time(this.#zone, now));
    show(this.#day, `${wardDay(this.#zone, now)}, ${zoneName(this.#zone, now)}`);
  }

  async #change(change: ClockChange, says: (answer: ClockAnswer) => string): Promise<void> {
    const answer: ClockAnswer | Problem = await setClock(change);
    if ('problem' in answer) {
      this.#say(answer.problem);
      return;
    }
    this.#set(answer);
    this.#draw();
    this.#say(says(answer));
  }

  async #changePace(): Promise<void> {
    const chosen = need('input:checked', HTMLInputElement, this.#pace).value;
    const rate = paces.find((pace) => String(pace) === chosen) ?? 1;
    await this.#change({ rate }, () =>
      rate === 1 ? 'The ward clock runs at its real pace.' : `The ward clock runs ${rate} times as fast.`,
    );
  }

  async #jumpOn(): Promise<void> {
    await this.#change(
      { jump: true },
      ({ nowMs }) => `The ward clock is now ${clockTime(this.#zone, nowMs)}.`,
    );
  }
}

/** Writes only what differs: a browser lays the page out and paints it again after each write. */
function show(where: HTMLElement, text: string): void {
  if (where.textContent !== text) where.textContent = text;
}
