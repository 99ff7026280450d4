import { act, fileAddress } from './api.js';
import { attachKey, exampleKeys } from './attach.js';
import { blockNode } from './blocks.js';
import { freshId, h, keepFocus } from './dom.js';
import { lockLine } from './markup.js';
import { sheet } from './sheet.js';
import { byThread, drawSlips, isReply, messageAtMs } from './slips.js';
import { clockTime } from './ward-time.js';

const whyWords = { 'direct message': 'Direct message', mention: 'Names you', broadcast: 'To everybody' };
const lockCharacters = 140;
const nearEndPixels = 80;

/**
 * One reader at phone width. `kind` is `nurse`, `wall` or `clinician`; the wall has no lists of its own, presses in
 * it are made by the chosen nurse.
 */
export function reader(kind, title, ward) {
  let person = null;
  let tab = kind === 'clinician' ? 'direct' : 'ward';
  let drawn = new Map();
  let shownList = '';
  const seen = {};

  const heading = h('h2', {}, title);
  const whoLine = h('div', { class: 'reader-who' });
  const lockTime = h('span', { class: 'lock-when' });
  const lockText = h('span', { class: 'lock-line' });
  const lock = h('p', { class: 'lock', hidden: true }, lockTime, lockText);
  const list = h('ol', { class: 'slips', role: 'list' });
  const earlier = h(
    'button',
    { type: 'button', class: 'key earlier', hidden: true, onclick: () => ward.askMore() },
    'Show earlier',
  );
  const below = h(
    'button',
    { type: 'button', class: 'key below', hidden: true, onclick: () => goToNew() },
    'New below',
  );
  const panelId = freshId('panel');
  const scroll = h(
    'div',
    {
      class: 'slips-frame',
      tabindex: '0',
      id: panelId,
      role: kind === 'wall' ? 'region' : 'tabpanel',
      'aria-label': kind === 'wall' ? 'Messages' : null,
    },
    earlier,
    list,
  );
  const home = h('div', { class: 'home', hidden: true });
  scroll.append(home);
  let homeWritten = '';
  const tabs = h('div', {
    class: 'tabs',
    role: 'tablist',
    'aria-label': 'Conversations',
    hidden: kind === 'wall',
  });
  const said = h('p', { class: 'said', role: 'status' });
  const words = h('input', {
    type: 'text',
    id: freshId('words'),
    autocomplete: 'off',
    autocapitalize: 'none',
    spellcheck: 'false',
    placeholder: 'or type more',
  });
  const menuKey = h('button', { type: 'button', class: 'key key-menu', onclick: () => command('') });
  const attach = attachKey({
    who: () => actingId(),
    say: (text) => say(text),
    sent: () => {
      self.lookAtWard();
      toEnd();
    },
  });
  const shortcuts = h('div', { class: 'composer-shortcuts' });
  const examples = exampleKeys({
    choose: async (name) => {
      say('');
      const answer = await doAs({ kind: 'shareExample', name });
      if (answer.problem) return;
      say(`${name}: now in the ward channel.`);
      self.lookAtWard();
      toEnd();
    },
  });
  const composer = h(
    'form',
    {
      class: 'composer',
      hidden: kind === 'wall',
      onsubmit: (event) => {
        event.preventDefault();
        void command(words.value.trim());
      },
    },
    h('div', { class: 'composer-keys' }, menuKey, attach.node, examples.key),
    examples.choices,
    shortcuts,
    h('label', { class: 'unseen', for: words.id }, 'Words after the command'),
    words,
    h('button', { type: 'submit', class: 'key' }, 'Send'),
  );
  const inner = h('div', { class: 'reader-inner' }, whoLine, lock, tabs, scroll, below, said, composer);
  const node = h('section', { class: `reader reader-${kind}`, 'aria-labelledby': freshId('reader') });
  heading.id = node.getAttribute('aria-labelledby');

  const say = (text) => {
    said.textContent = text;
  };
  const actingId = () => person?.id ?? '';
  const channelOf = (name) => (name === 'ward' ? ward.state().ward.id : `D${actingId().slice(1)}`);
  /** Where words typed on this tab go: from Home, as from anywhere, into the ward channel. */
  const placeOf = (name) => (name === 'home' ? 'ward' : name);
  const doAs = async (body) => {
    const answer = await act({ user: actingId(), ...body });
    if (answer.problem) say(answer.problem);
    return answer;
  };
  const command = async (text) => {
    say('');
    const prefix = ward.state().command;
    const rest = text.startsWith(prefix) ? text.slice(prefix.length).trim() : text;
    menuKey.setAttribute('aria-disabled', 'true');
    ward.acted(self);
    const answer = await doAs({ kind: 'slash', where: placeOf(tab), text: rest });
    menuKey.removeAttribute('aria-disabled');
    if (!answer.problem) words.value = '';
    toEnd();
  };
  const toEnd = () => {
    // Home is read from its top.
    if (tab === 'home') return;
    isAtEnd = true;
    scroll.scrollTop = scroll.scrollHeight;
    if (!unseenReply) below.hidden = true;
  };
  const isInView = (one) => {
    const { top, bottom } = one.getBoundingClientRect();
    const frame = scroll.getBoundingClientRect();
    return bottom > frame.top && top < frame.bottom;
  };
  const goToNew = () => {
    if (!unseenReply) return toEnd();
    const reply = unseenReply;
    unseenReply = null;
    below.hidden = true;
    reply.scrollIntoView({ block: 'nearest' });
    reply.querySelector('article').focus({ preventScroll: true });
  };
  /** A reply is drawn under an older message, where nobody may be looking: a key leads there. */
  const pointAtNew = (messages, knownTs) => {
    const fresh = messages.filter(({ ts }) => !knownTs.has(ts));
    const reply = fresh.findLast((message) => isReply(message) && message !== messages.at(-1));
    const place = reply && drawn.get(reply.ts).node;
    if (place && !isInView(place)) unseenReply = place;
    else if (fresh.length === 0 || isAtEnd) return;
    below.textContent = unseenReply ? 'New reply' : 'New below';
    below.hidden = false;
  };
  const atEnd = () => scroll.scrollHeight - scroll.scrollTop - scroll.clientHeight < nearEndPixels;
  let isAtEnd = true;
  let unseenReply = null;
  scroll.addEventListener('scroll', () => {
    isAtEnd = atEnd();
    if (unseenReply && (!unseenReply.isConnected || isInView(unseenReply))) unseenReply = null;
    else if (unseenReply || !isAtEnd) return;
    below.hidden = true;
  });
  // Pictures that load and notices that appear must not push the newest message out of sight.
  const stay = new ResizeObserver(() => {
    if (isAtEnd) toEnd();
  });
  stay.observe(scroll);
  stay.observe(list);

  const ctx = () => ({
    state: ward.state(),
    nowMs: ward.nowMs,
    fileAddress,
    act: doAs,
    messageByTs: (ts) => messagesIn(tab).find((message) => message.ts === ts),
    shortcutOn: async (message, callbackId) => {
      say('');
      ward.acted(self);
      await doAs({ kind: 'messageShortcut', channel: channelOf(tab), messageTs: message.ts, callbackId });
    },
    pressIn: async (message, press) => {
      say('');
      ward.acted(self);
      const answer = await doAs({ kind: 'press', messageTs: message.ts, channel: channelOf(tab), ...press });
      if (kind === 'wall' && !answer.problem) say(`Done as ${person.name}.`);
    },
  });

  const messagesIn = (name) => {
    const state = ward.state();
    const channel = channelOf(name);
    const open = state.messages[channel] ?? [];
    const own =
      kind === 'wall'
        ? []
        : state.ephemerals.filter((one) => one.channel === channel && one.reader === actingId());
    return [...open, ...own].sort((left, right) => Number(left.ts) - Number(right.ts));
  };
  /** The bot's own page for this person, as it stands; nothing before it was opened. */
  const drawHome = () => {
    const view = ward.state().homes[actingId()];
    const written = JSON.stringify([actingId(), view ?? null]);
    if (written === homeWritten) return;
    homeWritten = written;
    const context = {
      ...ctx(),
      press: async (press) => {
        say('');
        ward.acted(self);
        await doAs({ kind: 'press', viewId: view.id, ...press });
        await ward.refresh();
      },
      heldIn: () => undefined,
    };
    keepFocus(
      home,
      () => home.replaceChildren(...(view?.blocks ?? []).map((block) => blockNode(context, block, 'h3'))),
      () => scroll,
    );
  };
  const drawShortcuts = () => {
    const offered = ward.state().globalShortcuts;
    if (shortcuts.childElementCount === offered.length) return;
    shortcuts.replaceChildren(
      ...offered.map(({ callbackId, name }) =>
        h(
          'button',
          {
            type: 'button',
            class: 'key',
            title: `${name} (shortcut)`,
            'aria-label': `${name} (shortcut)`,
            onclick: () => {
              say('');
              ward.acted(self);
              return doAs({ kind: 'shortcut', callbackId });
            },
          },
          '⚡',
        ),
      ),
    );
  };
  const isFront = () => node.dataset.front === 'yes' || ward.isWide();
  const newIn = (name) =>
    messagesIn(name).filter((message) => Number(message.ts) > (seen[channelOf(name)] ?? 0)).length;

  const drawMessages = (state, wasAtEnd) => {
    const messages = byThread(messagesIn(tab));
    const isFirst = drawn.size === 0;
    const knownTs = new Set(drawn.keys());
    drawSlips(ctx(), list, messages, drawn);
    list.classList.toggle('slips-empty', messages.length === 0);
    list.dataset.empty =
      tab === 'ward' ? `Quiet so far. ${state.command} opens the menu.` : 'No direct messages yet.';
    earlier.hidden = !state.hasEarlier[channelOf(tab)];
    if (isFront() && document.visibilityState === 'visible')
      seen[channelOf(tab)] = Math.max(0, ...messages.map((message) => Number(message.ts)));
    if (wasAtEnd) toEnd();
    if (!isFirst) pointAtNew(messages, knownTs);
  };

  const tabIds = { ward: freshId('tab'), direct: freshId('tab'), home: freshId('tab') };
  const tabOrder = ['ward', 'direct', 'home'];
  const chooseTab = (name, focus) => {
    tab = name;
    ward.redraw();
    if (name === 'home') {
      scroll.scrollTop = 0;
      void doAs({ kind: 'openHome' });
    } else toEnd();
    if (focus) document.getElementById(tabIds[name]).focus();
  };
  const tabKey = (event) => {
    if (event.key !== 'ArrowLeft' && event.key !== 'ArrowRight') return;
    event.preventDefault();
    const step = event.key === 'ArrowRight' ? 1 : tabOrder.length - 1;
    chooseTab(tabOrder[(tabOrder.indexOf(tab) + step) % tabOrder.length], true);
  };
  const tabNodes = Object.entries({ ward: 'Ward channel', direct: 'Direct messages', home: 'Home' }).map(
    ([name, label]) =>
      h(
        'button',
        {
          type: 'button',
          role: 'tab',
          id: tabIds[name],
          class: 'tab',
          'aria-controls': panelId,
          dataset: { tab: name },
          onclick: () => chooseTab(name),
          onkeydown: tabKey,
        },
        h('span', {}, label),
        h('span', { class: 'new-count' }),
      ),
  );
  tabs.append(...tabNodes);

  const drawTabs = () => {
    for (const one of tabNodes) {
      const isChosen = one.dataset.tab === tab;
      const fresh = one.dataset.tab === 'home' ? 0 : newIn(one.dataset.tab);
      one.setAttribute('aria-selected', String(isChosen));
      one.tabIndex = isChosen ? 0 : -1;
      one.lastChild.textContent = fresh > 0 ? `${fresh} new` : '';
    }
    if (kind !== 'wall') scroll.setAttribute('aria-labelledby', tabIds[tab]);
  };

  const drawLock = () => {
    const state = ward.state();
    const last =
      kind === 'wall'
        ? state.messages[state.ward.id]?.findLast((message) => message.text !== '')
        : state.lines[actingId()];
    lock.hidden = !last;
    if (!last) return;
    const full = lockLine(ctx(), last.line ?? last.text);
    lockTime.textContent = `${kind === 'wall' ? 'Latest line' : `Lock screen · ${whyWords[last.why]}`} · ${clockTime(state.wardZone, messageAtMs(last.ts))}`;
    lockText.textContent = full.length > lockCharacters ? `${full.slice(0, lockCharacters - 1)}…` : full;
  };

  const form = sheet({
    act: doAs,
    ctx,
    refresh: () => ward.refresh(),
    restingPlace: () => menuKey,
    whoName: () => person.name,
    pressInView: async (viewId, press, values) => {
      const answer = await doAs({ kind: 'press', viewId, values, ...press });
      await ward.refresh();
      return answer;
    },
  });
  node.append(h('header', { class: 'reader-head' }, heading), inner, ...(kind === 'wall' ? [] : [form.node]));

  const self = {
    kind,
    title,
    node,
    whoLine,
    person: () => person,
    setPerson(next) {
      if (person?.id === next.id) return;
      person = next;
      drawn = new Map();
      list.replaceChildren();
      shownList = '';
      say('');
    },
    /** Messages not yet looked at, over both lists. */
    newCount: () => (kind === 'wall' ? newIn('ward') : newIn('ward') + newIn('direct')),
    /** Takes everything there is now as seen, so that only what comes later counts as new. */
    markAllSeen() {
      for (const name of ['ward', 'direct'])
        seen[channelOf(name)] ??= Math.max(0, ...messagesIn(name).map((message) => Number(message.ts)));
    },
    hasForm: () => kind !== 'wall' && ward.state().views[actingId()] !== undefined,
    focusForm: () => form.focusFirst(),
    draw() {
      const state = ward.state();
      const isHome = tab === 'home';
      home.hidden = !isHome;
      list.hidden = isHome;
      if (isHome) {
        earlier.hidden = true;
        below.hidden = true;
      }
      composer.hidden = kind === 'wall' || isHome;
      drawShortcuts();
      const name = `${actingId()} ${tab}`;
      if (name !== shownList) {
        drawn = new Map();
        list.replaceChildren();
        unseenReply = null;
      }
      attach.draw(state.mostSharedMegabytes);
      examples.draw(state.exampleStrips);
      menuKey.replaceChildren(h('span', {}, state.command), h('small', {}, 'menu'));
      const wasAtEnd = isAtEnd || name !== shownList;
      shownList = name;
      if (isHome) drawHome();
      else drawMessages(state, wasAtEnd);
      drawTabs();
      drawLock();
      if (wasAtEnd) toEnd();
      if (kind === 'wall') return false;
      const view = state.views[actingId()];
      inner.inert = view !== undefined;
      return form.show(view);
    },
    lookAtWard() {
      if (tab !== 'ward') chooseTab('ward');
    },
  };
  return self;
}
