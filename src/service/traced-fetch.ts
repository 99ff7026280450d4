import type { Traces } from '../observe/traces.ts';

/** Calls of the chat platform as spans, each told by its method: an address may say more than a collector should know. */
export function tracedFetch(traces: Traces): typeof globalThis.fetch {
  return (url, init) => traces.span('slack', { method: methodOf(url) }, () => globalThis.fetch(url, init));
}

/** `chat.postMessage` of an address of the Web API; all else is an answer or a file. */
function methodOf(url: string | URL | Request): string {
  const { pathname } = new URL(typeof url === 'object' && 'url' in url ? url.url : url);
  return /\/([a-z]+(?:\.[A-Za-z0-9]+)+)$/.exec(pathname)?.[1] ?? 'other';
}
