import { EventEmitter } from 'node:events';
import type { Platform } from './platform.ts';

/** Tells those who watch of every change, and waits for one. */
export function changeBox(): { changed: () => void } & Pick<Platform, 'on' | 'until'> {
  const changes = new EventEmitter().setMaxListeners(0);
  const on: Platform['on'] = (what, listener) => {
    changes.on(what, listener);
    return () => changes.off(what, listener);
  };
  return {
    changed: () => changes.emit('change'),
    on,
    until: (what, look, timeoutMs = 15_000) =>
      new Promise((resolve, reject) => {
        const settle = () => {
          clearTimeout(timer);
          clearInterval(beat);
          stopWatching();
        };
        const check = () => {
          const value = look();
          if (value === undefined || value === null || value === false) return;
          settle();
          resolve(value);
        };
        const stopWatching = on('change', check);
        // Some conditions, such as connections, change without a change of the workspace.
        const beat = setInterval(check, 50);
        const timer = setTimeout(() => {
          settle();
          reject(new Error(`Waited ${timeoutMs} ms in vain for ${what}.`));
        }, timeoutMs);
        check();
      }),
  };
}
