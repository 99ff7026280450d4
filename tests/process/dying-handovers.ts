// The process that hands over, killed as soon as the platform has its second message and before that is written down.
import type { SaidByProcess } from '../../src/service/handovers-beside.ts';

const send = process.send?.bind(process);
let posted = 0;
process.send = (said: SaidByProcess, ...more: unknown[]) => {
  if (said.what === 'watched' && said.call === 'posted' && ++posted === 2)
    process.kill(process.pid, 'SIGKILL');
  return send?.(said, ...(more as [])) ?? false;
};
await import('../../src/service/handovers-process.ts');
