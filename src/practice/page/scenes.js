import { act, setScene } from './api.js';
import { h } from './dom.js';

const emptyChosen = 'practice-empty-ward';
const surePatienceMs = 5_000;

/** Prepared wards to begin with, offered while the ward channel is still without a message; and the way back to them. */
export function sceneChoice({ node, covers, refresh }) {
  const said = h('p', { class: 'scenes-said', role: 'status' });
  const keys = h('div', { class: 'scenes-keys' });
  let drawn = '';
  let isBusy = false;

  const choose = async (scene) => {
    if (isBusy) return;
    if (!scene) {
      sessionStorage.setItem(emptyChosen, 'yes');
      // As on a real ward: somebody invites the bot, which offers to set the ward up.
      const { problem } = await act({ kind: 'invite' });
      said.textContent = problem ?? '';
      return refresh();
    }
    isBusy = true;
    said.textContent = `Setting the scene: ${scene.title}. This takes a few seconds.`;
    draw();
    const answer = await setScene({ play: scene.id });
    isBusy = false;
    said.textContent = answer.problem ?? '';
    await refresh();
  };
  const key = (scene, title, says) =>
    h(
      'button',
      {
        type: 'button',
        class: 'key scene',
        'aria-disabled': isBusy ? 'true' : null,
        onclick: () => choose(scene),
      },
      h('span', { class: 'scene-title' }, title),
      h('span', {}, says),
    );
  let offered = [];
  const draw = () => {
    const written = JSON.stringify([offered, isBusy]);
    if (written === drawn) return;
    drawn = written;
    keys.replaceChildren(
      ...offered.map((scene) => key(scene, scene.title, scene.says)),
      key(null, 'An empty ward', 'Set it up and register the first line yourself.'),
    );
  };
  node.append(h('h2', { id: 'scenes-title' }, 'Where do you want to begin?'), keys, said);

  return {
    /** Shows the choice instead of the readers, while there is nothing to read. */
    show(state) {
      offered = state.scenes;
      const isFirst = state.messages[state.ward.id].length === 0 && !sessionStorage.getItem(emptyChosen);
      const isOpen = offered.length > 0 && (isBusy || isFirst);
      draw();
      node.hidden = !isOpen;
      for (const one of covers) one.hidden = isOpen;
    },
  };
}

/** Empties the ward for another scene: asks once more in its own words, since what is gone is gone. */
export function againKey({ say, refresh }) {
  let sureUntil = 0;
  const node = h(
    'button',
    {
      type: 'button',
      class: 'key again',
      onclick: async () => {
        if (performance.now() > sureUntil) {
          sureUntil = performance.now() + surePatienceMs;
          node.textContent = 'Tap again to empty this ward';
          setTimeout(() => {
            node.textContent = 'Start again…';
          }, surePatienceMs);
          return;
        }
        sessionStorage.removeItem(emptyChosen);
        const answer = await setScene({ reset: true });
        if (answer.problem) say(answer.problem);
        sureUntil = 0;
        node.textContent = 'Start again…';
        await refresh();
      },
    },
    'Start again…',
  );
  return node;
}
