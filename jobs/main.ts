import { runBot } from '../src/run-bot.ts';
import { startWorkers } from './worker.ts';

// A process that wakes wards and posts, and leaves the chat to others: it needs a REDIS_URL that both reach.
await runBot(
  {
    env: { ...process.env, ROLES: 'jobs' },
    say: (line) => void process.stdout.write(`${line}\n`),
    complain: (line) => void process.stderr.write(`${line}\n`),
    exit: (code) => process.exit(code),
    onSignal: (listener) => {
      process.once('SIGINT', listener);
      process.once('SIGTERM', listener);
    },
    onUnhandledRejection: (listener) => void process.on('unhandledRejection', listener),
  },
  startWorkers,
);
