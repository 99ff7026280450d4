import { setClock } from './api.js';
import { clockTime, clockTimeWithSeconds, wardDay, zoneName } from './ward-time.js';

const drawEveryMs = 200;

/** The ward clock of the top bar: shows ward time, sets its pace, jumps. */
export function clockBar(say) {
  const time = document.querySelector('#clock-time');
  const day = document.querySelector('#clock-day');
  const pace = document.querySelector('#pace');
  const jump = document.querySelector('#jump');
  let base = null;
  let zone = 'UTC';

  const nowMs = () =>
    base === null ? Date.now() : base.wardMs + (performance.now() - base.atMs) * base.rate;
  const set = (wardMs, rate) => {
    base = { wardMs, rate, atMs: performance.now() };
  };
  const draw = () => {
    if (base === null) return;
    const now = nowMs();
    time.textContent = base.rate < 600 ? clockTimeWithSeconds(zone, now) : clockTime(zone, now);
    day.textContent = `${wardDay(zone, now)}, ${zoneName(zone, now)}`;
  };
  setInterval(draw, drawEveryMs);

  const changePace = async () => {
    const rate = Number(pace.querySelector('input:checked').value);
    const answer = await setClock({ rate });
    if (answer.problem) say(answer.problem);
    else {
      set(answer.nowMs, answer.rate);
      say(
        rate === 1 ? 'The ward clock runs at its real pace.' : `The ward clock runs ${rate} times as fast.`,
      );
    }
  };
  const jumpOn = async () => {
    if (jump.getAttribute('aria-disabled') === 'true') return;
    jump.setAttribute('aria-disabled', 'true');
    const answer = await setClock({ jump: true });
    jump.removeAttribute('aria-disabled');
    if (answer.problem) {
      say(answer.problem);
      return;
    }
    set(answer.nowMs, answer.rate);
    draw();
    say(`The ward clock is now ${clockTime(zone, answer.nowMs)}.`);
  };
  pace.addEventListener('change', () => void changePace());
  jump.addEventListener('click', () => void jumpOn());

  return {
    nowMs,
    /** Takes over the clock of a fresh state. */
    take(state) {
      zone = state.wardZone;
      set(state.clock.nowMs, state.clock.rate);
      pace.hidden = !state.clock.canHurry;
      jump.hidden = !state.clock.canJump;
      const box = pace.querySelector(`input[value="${state.clock.rate}"]`);
      if (box && !pace.contains(document.activeElement)) box.checked = true;
      draw();
    },
  };
}
