import { runBot } from './run-bot.ts';

await runBot({
  env: process.env,
  say: (line) => void process.stdout.write(`${line}\n`),
  complain: (line) => void process.stderr.write(`${line}\n`),
  exit: (code) => process.exit(code),
  onSignal: (listener) => {
    process.once('SIGINT', listener);
    process.once('SIGTERM', listener);
  },
  onUnhandledRejection: (listener) => void process.on('unhandledRejection', listener),
});
