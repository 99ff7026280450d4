import type { OfferedScene, PageState } from '../page-messages.ts';
import { act, setScene } from './api.ts';
import { h, key } from './dom.ts';

const emptyChosen = 'practice-empty-ward';
const surePatienceMs = 5_000;

/** Prepared wards to begin with, offered while the ward channel is still without a message. */
export class SceneChoice {
  readonly #node: HTMLElement;
  readonly #covers: readonly HTMLElement[];
  readonly #refresh: () => Promise<void>;
  readonly #said = h('p', { class: 'scenes-said', role: 'status' });
  readonly #keys = h('div', { class: 'scenes-keys' });
  #offered: readonly OfferedScene[] = [];
  #isBusy = false;
  #drawn = '';

  /** Fills `node`; while it shows, what it `covers` doesn't. */
  constructor(node: HTMLElement, covers: readonly HTMLElement[], refresh: () => Promise<void>) {
    this.#node = node;
    this.#covers = covers;
    this.#refresh = refresh;
    node.append(h('h2', { id: 'scenes-title' }, 'Where do you want to begin?'), this.#keys, this.#said);
  }

  /** Shows the choice instead of the readers, while there is nothing to read. */
  show({ scenes, messages, ward }: PageState): void {
    this.#offered = scenes;
    const isFirst = messages[ward.id]?.length === 0 && !sessionStorage.getItem(emptyChosen);
    const isOpen = scenes.length > 0 && (this.#isBusy || isFirst);
    this.#draw();
    this.#node.hidden = !isOpen;
    for (const one of this.#covers) one.hidden = isOpen;
  }

  #draw(): void {
    const written = JSON.stringify([this.#offered, this.#isBusy]);
    if (written === this.#drawn) return;
    this.#drawn = written;
    const sceneKey = (title: string, says: string, choose: () => Promise<void>) =>
      key(
        [h('span', { class: 'scene-title' }, title), h('span', {}, says)],
        () => (this.#isBusy ? undefined : choose()),
        { class: 'key scene', 'aria-disabled': this.#isBusy ? 'true' : null },
      );
    this.#keys.replaceChildren(
      ...this.#offered.map((scene) => sceneKey(scene.title, scene.says, () => this.#play(scene))),
      sceneKey('An empty ward', 'Set it up and register the first line yourself.', () => this.#leaveEmpty()),
    );
  }

  async #leaveEmpty(): Promise<void> {
    sessionStorage.setItem(emptyChosen, 'yes');
    // As on a real ward: somebody invites the bot, which offers to set the ward up.
    const { problem } = await act({ kind: 'invite' });
    this.#said.textContent = problem ?? '';
    await this.#refresh();
  }

  async #play({ id, title }: OfferedScene): Promise<void> {
    this.#isBusy = true;
    this.#said.textContent = `Setting the scene: ${title}. This takes a few seconds.`;
    this.#draw();
    const { problem } = await setScene({ play: id });
    this.#isBusy = false;
    this.#said.textContent = problem ?? '';
    await this.#refresh();
  }
}

/** Empties the ward for another scene: asks once more in its own words, since what is gone is gone. */
export function againKey(say: (text: string) => void, refresh: () => Promise<void>): HTMLButtonElement {
  const words = 'Start again…';
  let sureUntil = 0;
  const node = key(
    words,
    async () => {
      if (performance.now() > sureUntil) {
        sureUntil = performance.now() + surePatienceMs;
        node.textContent = 'Tap again to empty this ward';
        setTimeout(() => {
          node.textContent = words;
        }, surePatienceMs);
        return;
      }
      sessionStorage.removeItem(emptyChosen);
      const { problem } = await setScene({ reset: true });
      if (problem) say(problem);
      sureUntil = 0;
      node.textContent = words;
      await refresh();
    },
    { class: 'key again' },
  );
  return node;
}
