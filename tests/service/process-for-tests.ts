// A process that is asked for handovers and does as its command says, for the tests of what starts it.
import type { SaidByProcess, ToldToProcess } from '../../src/service/handovers-beside.ts';

let command = '';
let asks = 0;
const say = (said: SaidByProcess) => void process.send?.(said);

process.on('disconnect', () => process.exit());
process.on('message', (told: ToldToProcess) => {
  if (told.what === 'begin') ({ command } = told.task);
  if (told.what === 'stop') {
    say({ what: 'watched', call: 'posted', args: ['stopped'] });
    process.disconnect();
  }
  if (told.what !== 'ask') return;
  asks += 1;
  const { part, wardId, number } = told;
  const over = () => say({ what: 'over', part, wardId, number });
  say({
    what: 'watched',
    call: 'posted',
    args: [`${part} ${wardId} in ${process.pid} with ${process.execArgv.join(' ')}`],
  });
  if (command === 'do') over();
  // What it was asked first is over; the rest it takes with it.
  if (command === 'die' && asks === 1) over();
  if (command === 'die' && asks === 3) process.kill(process.pid, 'SIGKILL');
  if (command === 'fail') process.exit(3);
});
