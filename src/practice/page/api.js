const token = document.querySelector('meta[name="practice-token"]').content;

async function ask(path, options) {
  try {
    const response = await fetch(path, options);
    return await response.json();
  } catch {
    return { problem: 'The practice ward does not answer. Is it still running?' };
  }
}

/** Everything there is to draw. */
export const readState = (limit) =>
  ask(`/practice/state?limit=${limit}`, { headers: { 'x-practice-token': token } });

const send = (path, body) =>
  ask(path, {
    method: 'POST',
    headers: { 'content-type': 'application/json', 'x-practice-token': token },
    body: JSON.stringify(body),
  });

/** Does one thing as a person would; the answer has `problem` when it could not be done. */
export const act = (body) => send('/practice/act', body);

/** Puts files into the ward channel as one message of this person; `problem` as for `act`. */
export function share(user, files) {
  const form = new FormData();
  form.append('user', user);
  for (const file of files) form.append('files', file, file.name);
  return ask('/practice/share', { method: 'POST', headers: { 'x-practice-token': token }, body: form });
}

/** Sets the pace of the ward clock or jumps to the next event. */
export const setClock = (body) => send('/practice/clock', body);

/** Sets a scene, or empties the ward; `problem` as for `act`. */
export const setScene = (body) => send('/practice/scene', body);

/** Where a stored picture or file is. */
export const fileAddress = (id) => `/practice/files/${id}?token=${encodeURIComponent(token)}`;

const knockEveryMs = 2_000;

/** Waits until the ward answers again, then loads the page anew: a restarted ward has another token. */
function reloadWhenBack() {
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
export function listen(changed, lost) {
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
