import type { PageState } from '../page-messages.ts';
import { listen, readState } from './api.ts';
import { ClockBar } from './clock-bar.ts';
import { freshId, h, need } from './dom.ts';
import { type Person, Reader, type Ward } from './reader.ts';
import { againKey, SceneChoice } from './scenes.ts';
import { newestOf, spokenLines } from './spoken.ts';

const moreMessages = 60;
const refreshAtMostEveryMs = 120;
/** How long after a press an answer still counts as its answer and may bring its reader to the front. */
const answerWindowMs = 6_000;

let state: PageState | null = null;
let limit = moreMessages;
let front = 0;
/** `newestTs` is the newest message of all when the page was first drawn after it. */
let lastAct: { who: Reader; atMs: number; newestTs?: number } | null = null;
let announcedTs: number | null = null;
const wide = window.matchMedia('(min-width: 1100px)');
const spoken = need('#spoken', HTMLElement);
const linkState = need('#link-state', HTMLElement);
const readersNode = need('#readers', HTMLElement);
const switchNode = need('#reader-switch', HTMLElement);
const say = (text: string) => {
  spoken.textContent = text;
};
const clock = new ClockBar(say);

const ward: Ward = {
  state: () => {
    if (!state) throw new Error('The ward was not read yet.');
    return state;
  },
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

const nurse = new Reader('nurse', 'Nurse', ward);
const wall = new Reader('wall', 'Ward channel', ward);
const clinician = new Reader('clinician', 'On-call clinician', ward);
const readers = [nurse, wall, clinician];
readersNode.append(...readers.map(({ node }) => node));

const emptyKey = againKey(say, refresh);
wall.node.append(emptyKey);
const choice = new SceneChoice(need('#scenes', HTMLElement), [readersNode, switchNode], refresh);

const switchKeys = readers.map(({ title }, at) => {
  const count = h('span', { class: 'new-count' });
  const bringToFront = () => {
    // Whoever chooses a reader is not taken from it by an answer.
    lastAct = null;
    front = at;
    draw();
  };
  const props = { type: 'button', class: 'switch-key', onclick: bringToFront };
  return { node: h('button', props, h('span', {}, title), count), count };
});
switchNode.append(...switchKeys.map(({ node }) => node));

const firstName = ({ name }: Person) => name.split(' ')[0] ?? '';
const wallLine = (person: Person) => `#${ward.state().ward.name} · keys act as ${firstName(person)}`;

function nurseSwitch(people: readonly Person[]): Node {
  const name = freshId('nurse');
  const hold = (person: Person) => {
    nurse.setPerson(person);
    wall.setPerson(person);
    nurse.markAllSeen();
    wall.whoLine.textContent = wallLine(person);
    draw();
  };
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
          onchange: () => hold(person),
        }),
        h('span', {}, person.part === 'lead' ? `${firstName(person)} (lead)` : firstName(person)),
      ),
    ),
  );
}

function begin({ hospital, people }: PageState): void {
  document.title = `Practice ward · ${hospital}`;
  const phones = people.filter(({ part }) => part !== 'clinician');
  const [first] = phones;
  const doctor = people.find(({ part }) => part === 'clinician') ?? people[0];
  if (!first || !doctor) throw new Error('There is nobody on this ward to hold a phone.');
  nurse.setPerson(first);
  wall.setPerson(first);
  clinician.setPerson(doctor);
  nurse.whoLine.append(nurseSwitch(phones));
  wall.whoLine.append(wallLine(first));
  clinician.whoLine.append(doctor.name);
  for (const one of readers) one.markAllSeen();
}

/** Reads out what is new. */
function announce(now: PageState): void {
  const newest = newestOf(now);
  if (announcedTs === null || newest < announcedTs) announcedTs = newest;
  const lines = spokenLines({ state: now, nowMs: clock.nowMs }, announcedTs);
  announcedTs = newest;
  if (lines.length > 0) say(lines.slice(-3).join('. '));
}

/** What a press in one reader brings up in another reader's phone must be seen where only one fits. */
function followAnswer({ ephemerals }: PageState, appeared: Reader | undefined): void {
  if (!lastAct || performance.now() - lastAct.atMs >= answerWindowMs) return;
  if (appeared) {
    front = readers.indexOf(appeared);
    drawFront();
    appeared.focusForm();
    return;
  }
  const isPrivate = ephemerals.at(-1);
  const isAnswer = isPrivate && Number(isPrivate.ts) > (lastAct.newestTs ?? Infinity);
  if (!wide.matches && lastAct.who === wall && isAnswer && isPrivate.reader === nurse.person?.id) {
    front = 0;
    nurse.lookAtWard();
  }
}

function drawFront(): void {
  readers.forEach((one, at) => {
    one.node.dataset.front = at === front ? 'yes' : 'no';
    const key = switchKeys[at];
    const fresh = one.newCount();
    key?.node.setAttribute('aria-pressed', String(at === front));
    if (key) key.count.textContent = at !== front && fresh > 0 ? `${fresh} new` : '';
  });
}

function draw(): void {
  if (!state) return;
  if (lastAct) lastAct.newestTs ??= newestOf(state);
  choice.show(state);
  emptyKey.hidden = !state.canReset;
  drawFront();
  const appeared = readers.filter((one) => one.draw());
  drawFront();
  linkState.textContent = state.connected ? '' : 'The bot is not connected. Messages wait until it is.';
  followAnswer(state, appeared[0]);
}

let reading: Promise<void> | null = null;
let again = false;

/** Reads the ward and draws it; calls that come meanwhile share one more reading. */
function refresh(): Promise<void> {
  again = reading !== null;
  reading ??= readAndDraw();
  return reading;
}

async function readAndDraw(): Promise<void> {
  try {
    do {
      again = false;
      const next = await readState(limit);
      if ('problem' in next) {
        linkState.textContent = next.problem;
        return;
      }
      const isFirst = state === null;
      state = next;
      clock.take(state);
      if (isFirst) begin(state);
      draw();
      announce(state);
    } while (again);
  } finally {
    reading = null;
  }
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
