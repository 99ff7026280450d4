import { DateTime } from 'luxon';
import type { HurriedClock } from '../app/clock.ts';
import type { Platform } from './platform/platform.ts';

/** Who types what after the command; `ago` gives the ward's clock so many minutes before the scene. */
type Act = { who: 'ina' | 'teo' | 'suvi'; types: (ago: (minutes: number) => string) => string };

/** A ward to begin with. */
export interface Scene {
  id: string;
  title: string;
  says: string;
  /** Times on the ward's clock at which it can begin; the next of them is taken. */
  startsAt: readonly string[];
  acts: readonly Act[];
}

const ina = (types: Act['types']): Act => ({ who: 'ina', types });
/** Zeroed and tested so long ago. */
const inOrder = (name: string, minutes: number): Act[] => [
  ina((ago) => `zero ${name} at ${ago(minutes)}`),
  ina((ago) => `test ${name} normal at ${ago(minutes - 1)}`),
];

/** Invented wards, played through the bot as staff would play them. Nobody in them exists. */
export const scenes: readonly Scene[] = [
  {
    id: 'quiet',
    title: 'A quiet evening',
    says: 'Two lines in order. The next flush is due in ten minutes.',
    startsAt: ['19:30'],
    acts: [
      ina(() => 'oncall @suvi'),
      ina(
        (ago) =>
          `place Otto dog 31kg right dorsal pedal 20g continuous bag 250 mL 3 mL/h 300 mmHg at ${ago(55)}`,
      ),
      ...inOrder('Otto', 40),
      ina((ago) => `place Biscuit dog 28kg left dorsal pedal 20g manual at ${ago(50)}`),
      ...inOrder('Biscuit', 35),
    ],
  },
  {
    id: 'cat',
    title: 'A busy night',
    says: 'Four lines, a low pressure, and a cat ten minutes from her dwell warning.',
    startsAt: ['02:00'],
    acts: [
      ina(() => 'oncall @suvi'),
      ina((ago) => `place Miso cat 4.1kg median caudal 24g manual at ${ago(350)}`),
      ...inOrder('Miso', 200),
      ina((ago) => `flush Miso 0.5 mL at ${ago(50)}`),
      ina((ago) => `place Oskar dog 12kg right dorsal pedal 22g manual at ${ago(300)}`),
      ...inOrder('Oskar', 290),
      ina((ago) => `flush Oskar 1 mL at ${ago(45)}`),
      ina(
        (ago) => `place Juno dog 34kg left radial 20g continuous bag 500 mL 3 mL/h 300 mmHg at ${ago(240)}`,
      ),
      ...inOrder('Juno', 230),
      ina((ago) => `place Pepper dog 8kg left dorsal pedal 22g manual at ${ago(40)}`),
      ...inOrder('Pepper', 30),
      ina(() => 'reading Pepper 84/38 mmHg mean 53 mmHg 140 /min'),
    ],
  },
  {
    id: 'handover',
    title: 'A handover in ten minutes',
    says: 'Three lines and an eventful shift. The handover comes by itself.',
    startsAt: ['06:35', '18:35'],
    acts: [
      ina(() => 'oncall @suvi'),
      ina((ago) => `place Biscuit dog 28kg left dorsal pedal 20g manual at ${ago(400)}`),
      ...inOrder('Biscuit', 390),
      ina((ago) => `check Biscuit ok at ${ago(160)}`),
      ina((ago) => `flush Biscuit 2 mL at ${ago(70)}`),
      ina((ago) => `sample Biscuit 2 mL discard 2 mL returned, flushed after at ${ago(45)}`),
      ina((ago) => `place Miso cat 4.1kg median caudal 24g manual at ${ago(330)}`),
      ...inOrder('Miso', 320),
      ina((ago) => `flush Miso 0.5 mL at ${ago(52)}`),
      ina((ago) => `check Miso cold at ${ago(60)}`),
      ina(
        (ago) =>
          `place Otto dog 31kg right dorsal pedal 20g continuous bag 250 mL 3 mL/h 300 mmHg at ${ago(200)}`,
      ),
      ...inOrder('Otto', 190),
      ina(() => 'reading Otto 128/74 mmHg mean 92 mmHg 110 /min'),
    ],
  },
];

/** How long the bot may take to open a form or to answer, ms of real time. */
const patienceMs = 8_000;

/**
 * Plays a scene on a ward without lines: the clock goes on to its beginning, then every line of it is typed and every form
 * sent as staff would. Says what came of it; what is refused stops it there, and what was recorded before stands.
 */
export async function playScene(
  platform: Platform,
  clock: HurriedClock,
  id: string,
): Promise<{ problem: string } | { played: string }> {
  const scene = scenes.find((one) => one.id === id);
  if (!scene)
    return { problem: `There is no scene '${id}'; there is ${scenes.map((one) => one.id).join(', ')}.` };
  const { wardZone, wardChannelId: channel } = platform.world;
  clock.setRate(1);
  clock.jumpTo(Math.min(...scene.startsAt.map((time) => nextAt(time, clock.now(), wardZone))));
  const beganMs = clock.now();
  const ago = (minutes: number) =>
    DateTime.fromMillis(beganMs - minutes * 60_000, { zone: wardZone }).toFormat('HH:mm');
  for (const { who: user, types } of scene.acts) {
    const text = types(ago);
    const heard = new Set(platform.ephemerals(user).map(({ ts }) => ts));
    const { acked } = await platform.slash({ user, channel, text });
    if (!acked) return { problem: `The bot did not take “${text}” in time. Start again.` };
    if (text.startsWith('place')) {
      const form = await platform.until('the registering form', () => platform.view(user), patienceMs);
      const { accepted, errors } = await platform.submit({ user, viewId: form.id });
      if (!accepted) return { problem: `“${text}” was refused: ${Object.values(errors).join(' ')}` };
    }
    await platform.until(
      `an answer to “${text}”`,
      () => platform.ephemerals(user).some(({ ts }) => !heard.has(ts)),
      patienceMs,
    );
  }
  return { played: scene.title };
}

/** The next instant, ms, at which the ward's clock shows `HH:mm`: now, where it does. */
function nextAt(time: string, nowMs: number, zone: string): number {
  const [hour = 0, minute = 0] = time.split(':').map(Number);
  const today = DateTime.fromMillis(nowMs, { zone }).set({ hour, minute, second: 0, millisecond: 0 });
  return (today.toMillis() < nowMs ? today.plus({ days: 1 }) : today).toMillis();
}
