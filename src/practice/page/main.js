import { listen, readState } from './api.js';
import { clockBar } from './clock-bar.js';
import { freshId, h } from './dom.js';
import { lockLine } from './markup.js';
import { reader } from './reader.js';
import { againKey, sceneChoice } from './scenes.js';

const moreMessages = 60;
const refreshAtMostEveryMs = 120;
/** How long after a press an answer still counts as its answer and may bring its reader to the front. */
const answerWindowMs = 6_000;

let state = null;
let limit = moreMessages;
let front = 0;
let lastAct = null;
let announcedTs = null;
const wide = window.matchMedia('(min-width: 1100px)');
const spoken = document.querySelector('#spoken');
const linkState = document.querySelector('#link-state');
const say = (text) => {
  spoken.textContent = text;
};
const clock = clockBar(say);

const ward = {
  state: () => state,
  nowMs: clock.nowMs,
  isWide: () => wide.matches,
  refresh,
  redraw: draw,
  acted: (who) => {
    lastAct = { who, atMs: performance.now() };
  },
  askMore: () => {
    limit += moreMessages;
    void refresh();
  },
};

const readers = [
  reader('nurse', 'Nurse', ward),
  reader('wall', 'Ward channel', ward),
  reader('clinician', 'On-call clinician', ward),
];
const [nurse, wall, clinician] = readers;
document.querySelector('#readers').append(...readers.map(({ node }) => node));

const emptyKey = againKey({ say, refresh });
wall.node.append(emptyKey);
const choice = sceneChoice({
  node: document.querySelector('#scenes'),
  covers: [document.querySelector('#readers'), document.querySelector('#reader-switch')],
  refresh,
});

const switchKeys = readers.map((one, at) =>
  h(
    'button',
    { type: 'button', class: 'switch-key', onclick: () => bringToFront(at) },
    h('span', {}, one.title),
    h('span', { class: 'new-count' }),
  ),
);
document.querySelector('#reader-switch').append(...switchKeys);

function bringToFront(at) {
  front = at;
  draw();
}

const firstName = (person) => person.name.split(' ')[0];

function nurseSwitch(people) {
  const name = freshId('nurse');
  return h(
    'fieldset',
    { class: 'who-switch' },
    h('legend', { class: 'unseen' }, 'Who holds this phone'),
    people.map((person, at) =>
      h(
        'label',
        {},
        h('input', {
          type: 'radio',
          name,
          value: person.id,
          title: `${person.name}, ${person.part}`,
          checked: at === 0,
          onchange: () => {
            nurse.setPerson(person);
            wall.setPerson(person);
            nurse.markAllSeen();
            wall.whoLine.textContent = wallLine(person);
            draw();
          },
        }),
        h('span', {}, person.part === 'lead' ? `${firstName(person)} (lead)` : firstName(person)),
      ),
    ),
  );
}

const wallLine = (person) => `#${state.ward.name} · keys act as ${firstName(person)}`;

function begin() {
  document.title = `Practice ward · ${state.hospital}`;
  const phones = state.people.filter(({ part }) => part !== 'clinician');
  const doctor = state.people.find(({ part }) => part === 'clinician') ?? state.people[0];
  nurse.setPerson(phones[0]);
  wall.setPerson(phones[0]);
  clinician.setPerson(doctor);
  nurse.whoLine.append(nurseSwitch(phones));
  wall.whoLine.append(wallLine(phones[0]));
  clinician.whoLine.append(doctor.name);
  for (const one of readers) one.markAllSeen();
}

function newestTs() {
  const all = [...Object.values(state.messages).flat(), ...state.ephemerals];
  return Math.max(0, ...all.map((message) => Number(message.ts)));
}

/** What a message says to the ear: its text; where it has none, its pictures' words and its files' names. */
function spokenLine(ctx, { text, files = [] }) {
  if (text !== '') return lockLine(ctx, text);
  return files.map(({ alt_txt: alt, name }) => alt || name).join(', ');
}

/** Reads out what is new, once, however many readers show it. */
function announce() {
  const newest = newestTs();
  if (announcedTs === null || newest < announcedTs) announcedTs = newest;
  const ctx = { state, nowMs: clock.nowMs };
  const fresh = (messages, where) =>
    messages
      .filter((message) => Number(message.ts) > announcedTs)
      .map((message) => ({ ...message, line: spokenLine(ctx, message) }))
      .filter(({ line }) => line !== '')
      .map(({ line }) => `${where}: ${line}`);
  const name = (id) => state.people.find((person) => person.id === id)?.name ?? '';
  const lines = [
    ...Object.entries(state.messages).flatMap(([channel, messages]) =>
      fresh(
        messages,
        channel === state.ward.id ? 'Ward channel' : `Direct message to ${name(`U${channel.slice(1)}`)}`,
      ),
    ),
    ...state.ephemerals.flatMap((message) => fresh([message], `Only for ${name(message.reader)}`)),
  ];
  announcedTs = newest;
  if (lines.length > 0) say(lines.slice(-3).join('. '));
}

/** What a press in one reader brings up in another reader's phone must be seen where only one fits. */
function followAnswer(appeared) {
  if (appeared.length > 0) {
    const at = readers.indexOf(appeared[0]);
    const isMine = lastAct !== null && performance.now() - lastAct.atMs < answerWindowMs;
    if (!isMine) return;
    front = at;
    drawFront();
    appeared[0].focusForm();
    return;
  }
  const fromWall = lastAct?.who === wall && performance.now() - lastAct.atMs < answerWindowMs;
  const isPrivate = state.ephemerals.at(-1);
  if (
    !wide.matches &&
    fromWall &&
    isPrivate?.reader === nurse.person().id &&
    Number(isPrivate.ts) > (lastAct.newest ?? Infinity)
  ) {
    front = 0;
    nurse.lookAtWard();
  }
}

function drawFront() {
  readers.forEach(({ node }, at) => {
    node.dataset.front = at === front ? 'yes' : 'no';
  });
  switchKeys.forEach((key, at) => {
    key.setAttribute('aria-pressed', String(at === front));
    const fresh = readers[at].newCount();
    key.lastChild.textContent = at !== front && fresh > 0 ? `${fresh} new` : '';
  });
}

function draw() {
  if (!state) return;
  if (lastAct && lastAct.newest === undefined) lastAct.newest = newestTs();
  choice.show(state);
  emptyKey.hidden = !state.canReset;
  drawFront();
  const appeared = readers.filter((one) => one.draw());
  drawFront();
  linkState.textContent = state.connected ? '' : 'The bot is not connected. Messages wait until it is.';
  followAnswer(appeared);
}

let reading = null;
let again = false;

/** Reads the ward and draws it; calls that come meanwhile share one more reading. */
function refresh() {
  if (reading) {
    again = true;
    return reading;
  }
  reading = (async () => {
    do {
      again = false;
      const next = await readState(limit);
      if (next.problem) {
        linkState.textContent = next.problem;
        break;
      }
      const isFirst = state === null;
      state = next;
      clock.take(state);
      if (isFirst) begin();
      draw();
      announce();
    } while (again);
    reading = null;
  })();
  return reading;
}

let waiting = false;
listen(
  () => {
    if (waiting) return;
    waiting = true;
    setTimeout(() => {
      waiting = false;
      void refresh();
    }, refreshAtMostEveryMs);
  },
  (isLost) => {
    document.body.classList.toggle('line-lost', isLost);
    if (isLost)
      linkState.textContent =
        'The practice ward does not answer. Start it again with npm start; this page will follow.';
  },
);
wide.addEventListener('change', draw);
