// Loaded before a main by `--import`. When the npm script that started us is killed outright (kill -9, a closed
// container shell), nobody passes a signal on; file descriptor 3 then closes, and we stop as if asked politely.
import { Socket } from 'node:net';

try {
  const parent = new Socket({ fd: 3, readable: true, writable: false });
  parent.on('error', () => {});
  parent.on('close', () => process.kill(process.pid, 'SIGTERM'));
  parent.resume();
  parent.unref();
} catch {
  // Started by hand without descriptor 3: nobody to outlive.
}
