import type {
  ActAnswer,
  ClockAnswer,
  ClockChange,
  PageAct,
  PageState,
  Problem,
  SceneChange,
} from '../page-messages.ts';
import { need } from './dom.ts';

const token = need('meta[name="practice-token"]', HTMLMetaElement).content;
const withToken = { 'x-practice-token': token };

async function ask<Answer>(path: string, options: RequestInit): Promise<Answer | Problem> {
  try {
    const response = await fetch(path, options);
    const answer: Answer | Problem = await response.json();
    return answer;
  } catch {
    return { problem: 'The practice ward does not answer. Is it still running?' };
  }
}

/** Everything there is to draw. */
export const readState = (limit: number) =>
  ask<PageState>(`/practice/state?limit=${limit}`, { headers: withToken });

const send = <Answer>(path: string, body: object) =>
  ask<Answer>(path, {
    method: 'POST',
    headers: { 'content-type': 'application/json', ...withToken },
    body: JSON.stringify(body),
  });

/** Does one thing as a person would; the answer has `problem` when it could not be done. */
export const act = (body: PageAct): Promise<ActAnswer> => send<ActAnswer>('/practice/act', body);

/** Puts files into the ward channel as one message of this person; `problem` as for `act`. */
export function share(user: string, files: readonly File[]): Promise<ActAnswer> {
  const form = new FormData();
  form.append('user', user);
  for (const file of files) form.append('files', file, file.name);
  return ask<ActAnswer>('/practice/share', { method: 'POST', headers: withToken, body: form });
}

/** Sets the pace of the ward clock or jumps to the next event. */
export const setClock = (body: ClockChange) => send<ClockAnswer>('/practice/clock', body);

/** Sets a scene, or empties the ward; `problem` as for `act`. */
export const setScene = (body: SceneChange): Promise<Partial<Problem>> =>
  send<Partial<Problem>>('/practice/scene', body);

/** Where a stored picture or file is. */
export const fileAddress = (id: string) => `/practice/files/${id}?token=${encodeURIComponent(token)}`;

const knockEveryMs = 2_000;

/** Waits until the ward answers again, then loads the page anew: a restarted ward has another token. */
function reloadWhenBack(): void {
  setTimeout(async () => {
    try {
      await fetch('/');
      location.reload();
    } catch {
      reloadWhenBack();
    }
  }, knockEveryMs);
}

/** Calls `changed` after every change of the ward, and `lost(true)` while the line is down. */
export function listen(changed: () => void, lost: (isLost: boolean) => void): void {
  const source = new EventSource(`/practice/events?token=${encodeURIComponent(token)}`);
  source.addEventListener('message', () => {
    lost(false);
    changed();
  });
  source.addEventListener('error', () => {
    lost(true);
    if (source.readyState === EventSource.CLOSED) reloadWhenBack();
  });
}
