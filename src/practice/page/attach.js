import { share } from './api.js';
import { freshId, h } from './dom.js';

const bytesPerMegabyte = 1_000_000;
const megabytes = (bytes) => (bytes / bytesPerMegabyte).toFixed(1);

/** Why these files cannot be sent, as a sentence, or null. */
function problemOf(files, mostMegabytes) {
  const bytes = files.reduce((sum, file) => sum + file.size, 0);
  if (bytes > mostMegabytes * bytesPerMegabyte)
    return `${megabytes(bytes)} MB is above ${mostMegabytes} MB for all files together. Attach fewer, or cut the strip shorter.`;
  return null;
}

/**
 * The key that attaches files: a file input under a label, so that it works by thumb, keyboard and voice. What is
 * chosen goes into the ward channel at once; the words typed beside it stay where they are.
 */
export function attachKey({ who, say, sent }) {
  let mostMegabytes = 0;
  const hint = h('span', { class: 'unseen', id: freshId('attach-hint') });
  const input = h('input', {
    type: 'file',
    multiple: true,
    'aria-describedby': hint.id,
    'data-key': 'attach',
    onchange: () => void send(),
  });
  const send = async () => {
    const files = [...input.files];
    // The same file may be chosen again.
    const done = () => {
      input.value = '';
    };
    if (files.length === 0 || input.getAttribute('aria-disabled') === 'true') return;
    const problem = problemOf(files, mostMegabytes);
    if (problem) {
      say(problem);
      done();
      return;
    }
    const names = files.map(({ name }) => name).join(', ');
    say(`Sending ${names}…`);
    input.setAttribute('aria-disabled', 'true');
    const answer = await share(who(), files);
    input.removeAttribute('aria-disabled');
    done();
    say(answer.problem ?? `${names}: now in the ward channel.`);
    if (!answer.problem) sent();
  };
  return {
    node: h(
      'div',
      { class: 'attach' },
      h('label', {}, input, h('span', { class: 'key' }, 'Attach a file…')),
      hint,
    ),
    /** Says how much may be attached. */
    draw(megabytesAllowed) {
      mostMegabytes = megabytesAllowed;
      hint.textContent = `Goes into the ward channel at once; ${mostMegabytes} MB for all files together at most.`;
    },
  };
}

/** A key that unfolds the ward's invented strips; each of them is shared by name as a chosen file is. */
export function exampleKeys({ choose }) {
  const choices = h('div', { class: 'examples', id: freshId('examples'), hidden: true });
  const fold = (isOpen) => {
    choices.hidden = !isOpen;
    key.setAttribute('aria-expanded', String(isOpen));
  };
  const key = h(
    'button',
    {
      type: 'button',
      class: 'key',
      'aria-expanded': 'false',
      'aria-controls': choices.id,
      onclick: () => fold(choices.hidden),
    },
    'Examples',
  );
  const choice = (name) =>
    h(
      'button',
      {
        type: 'button',
        class: 'key',
        onclick: () => {
          fold(false);
          key.focus();
          return choose(name);
        },
      },
      name,
    );
  return {
    key,
    choices,
    /** Offers these names, once. */
    draw(names) {
      key.hidden = names.length === 0;
      if (choices.childElementCount === 0) choices.append(...names.map(choice));
    },
  };
}
