// Loaded before a main by `--import`. When the npm script that started us is killed outright (kill -9, a closed
// container shell), nobody passes a signal on; file descriptor 3 then closes, and we stop as if asked politely.
//
// A thread is started with the same `--import` and must not listen, too: as it ends it would close the descriptor under us. The
// next connection would get that number, and we would take what it sends for our parent's, and its end for our parent's death.
import { Socket } from 'node:net';
import { isMainThread } from 'node:worker_threads';

/** Listens to file descriptor 3, for as long as we live. */
function stopWithParent() {
  const parent = new Socket({ fd: 3, readable: true, writable: false });
  parent.on('error', () => {});
  parent.on('close', () => process.kill(process.pid, 'SIGTERM'));
  parent.resume();
  parent.unref();
}

if (isMainThread) {
  try {
    stopWithParent();
  } catch {
    // Started by hand without descriptor 3: nobody to outlive.
  }
}
