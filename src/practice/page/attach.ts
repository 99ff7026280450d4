import { share } from './api.ts';
import { busyWith, freshId, h, isBusy, key } from './dom.ts';

const bytesPerMegabyte = 1_000_000;
const megabytes = (bytes: number) => (bytes / bytesPerMegabyte).toFixed(1);

/** Why these files cannot be sent, as a sentence, or null. */
function problemOf(files: readonly File[], mostMegabytes: number): string | null {
  const bytes = files.reduce((sum, file) => sum + file.size, 0);
  if (bytes > mostMegabytes * bytesPerMegabyte)
    return `${megabytes(bytes)} MB is above ${mostMegabytes} MB for all files together. Attach fewer, or cut the strip shorter.`;
  return null;
}

/**
 * The key that attaches files: a file input under a label, so that it works by thumb, keyboard and voice. What is
 * chosen goes into the ward channel at once; the words typed beside it stay where they are.
 */
export function attachKey(hands: { who: () => string; say: (text: string) => void; sent: () => void }) {
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
    const files = [...(input.files ?? [])];
    if (files.length === 0 || isBusy(input)) return;
    const names = files.map(({ name }) => name).join(', ');
    const tooMuch = problemOf(files, mostMegabytes);
    if (!tooMuch) hands.say(`Sending ${names}…`);
    const problem = tooMuch ?? (await busyWith(input, () => share(hands.who(), files)))?.problem;
    // The same file may be chosen again.
    input.value = '';
    hands.say(problem ?? `${names}: now in the ward channel.`);
    if (problem === undefined) hands.sent();
  };
  return {
    node: h(
      'div',
      { class: 'attach' },
      h('label', {}, input, h('span', { class: 'key' }, 'Attach a file…')),
      hint,
    ),
    /** Says how much may be attached. */
    draw(megabytesAllowed: number) {
      mostMegabytes = megabytesAllowed;
      hint.textContent = `Goes into the ward channel at once; ${mostMegabytes} MB for all files together at most.`;
    },
  };
}

/** A key that unfolds the ward's invented strips; each of them is shared by name as a chosen file is. */
export function exampleKeys(choose: (name: string) => unknown) {
  const choices = h('div', { class: 'examples', id: freshId('examples'), hidden: true });
  const fold = (isOpen: boolean) => {
    choices.hidden = !isOpen;
    unfold.setAttribute('aria-expanded', String(isOpen));
  };
  const unfold = key('Examples', () => fold(choices.hidden !== false), {
    'aria-expanded': 'false',
    'aria-controls': choices.id,
  });
  const choice = (name: string) =>
    key(name, () => {
      fold(false);
      unfold.focus();
      return choose(name);
    });
  return {
    key: unfold,
    choices,
    /** Offers these names, once. */
    draw(names: readonly string[]) {
      unfold.hidden = names.length === 0;
      if (choices.childElementCount === 0) choices.append(...names.map(choice));
    },
  };
}
