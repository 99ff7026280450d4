import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';

function isAlive(processId: number): boolean {
  try {
    process.kill(processId, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'EPERM';
  }
}

function askPs(processId: number, column: string): string | null {
  try {
    return execFileSync('ps', ['-o', `${column}=`, '-p', String(processId)], { encoding: 'utf8' }).trim();
  } catch {
    return null;
  }
}

/** Field 22 of /proc/PID/stat, counted after the program's name, which may itself hold spaces and brackets. */
function startTicks(stat: string): string | undefined {
  return stat
    .slice(stat.lastIndexOf(')') + 2)
    .split(' ')
    .at(19);
}

/** State letter of /proc/PID/stat; Z is a process that has ended but was not yet reaped. */
function isZombie(stat: string): boolean {
  return stat.charAt(stat.lastIndexOf(')') + 2) === 'Z';
}

/**
 * A text that names one run of one process, so that a number used again after a restart is not taken for it.
 * Null when no such process lives.
 */
export function processIdentity(processId: number): string | null {
  if (!isAlive(processId)) return null;
  try {
    const stat = readFileSync(`/proc/${processId}/stat`, 'utf8');
    if (isZombie(stat)) return null;
    const bootId = readFileSync('/proc/sys/kernel/random/boot_id', 'utf8').trim();
    return `${bootId}:${startTicks(stat)}`;
  } catch {
    return askPs(processId, 'lstart');
  }
}

/** The command line a living process was started with, words joined by spaces; null when unknown. */
export function processCommandLine(processId: number): string | null {
  if (!isAlive(processId)) return null;
  try {
    return readFileSync(`/proc/${processId}/cmdline`, 'utf8').replaceAll('\0', ' ').trim();
  } catch {
    return askPs(processId, 'args');
  }
}
