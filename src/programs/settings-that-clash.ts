import { isLoopback, isRoleList, parsedUrl, shown, slacksOwnApi } from './settings.ts';

/** What a bot for many workspaces needs besides the signing secret. */
const ofMany = ['SLACK_CLIENT_ID', 'SLACK_CLIENT_SECRET', 'SLACK_STATE_SECRET', 'TOKEN_KEYS'] as const;
type Has = (name: string) => boolean;
const isMany = (has: Has) => ofMany.some(has);

/** Faults of half a bot for many workspaces, or of one that is for one as well. */
function manyFaults(has: Has): string[] {
  if (!isMany(has)) return [];
  const given = ofMany.filter(has).join(', ');
  if (has('SLACK_BOT_TOKEN'))
    return [
      `SLACK_BOT_TOKEN is for one workspace and ${given} for many: unset SLACK_BOT_TOKEN, or all of ${ofMany.join(', ')}.`,
    ];
  const faults: string[] = [];
  const missing = ['SLACK_SIGNING_SECRET', ...ofMany].filter((name) => !has(name));
  if (missing.length > 0)
    faults.push(`${given} set for many workspaces, but not ${missing.join(', ')}: add what is missing.`);
  if (has('SLACK_APP_TOKEN'))
    faults.push('SLACK_APP_TOKEN is for Socket Mode, and many workspaces are served over HTTP: unset it.');
  return faults;
}

/** Faults that lie in settings not fitting together. Works on raw text, so that it also speaks when a field is bad. */
export function pairingFaults(raw: Readonly<Record<string, string>>): string[] {
  const faults: string[] = [];
  const has = (name: string) => raw[name] !== undefined;
  faults.push(...manyFaults(has));
  if (has('SLACK_BOT_TOKEN') && !has('SLACK_APP_TOKEN') && !has('SLACK_SIGNING_SECRET')) {
    faults.push(
      'SLACK_BOT_TOKEN is set alone: add SLACK_APP_TOKEN (Socket Mode) or SLACK_SIGNING_SECRET (HTTP), or unset it for the practice ward.',
    );
  }
  for (const name of ['SLACK_APP_TOKEN', 'SLACK_SIGNING_SECRET']) {
    if (has(name) && !has('SLACK_BOT_TOKEN') && !isMany(has)) {
      faults.push(`${name} is set without SLACK_BOT_TOKEN: add it, or unset ${name} for the practice ward.`);
    }
  }
  const api = parsedUrl(raw['SLACK_API_URL'] ?? slacksOwnApi);
  for (const name of ['CLOCK_START', 'CLOCK_RATE']) {
    if (has(name) && (api === null || !isLoopback(api))) {
      faults.push(
        `${name} is ${shown(raw[name])}, but SLACK_API_URL is not an address on this machine: a real ward's clock is never changed. Unset ${name}, or set SLACK_API_URL to a loopback address such as http://127.0.0.1:3001/api/.`,
      );
    }
  }
  const wantedRoles = raw['ROLES'];
  if (
    wantedRoles !== undefined &&
    isRoleList(wantedRoles) &&
    !wantedRoles.includes(',') &&
    !has('REDIS_URL')
  ) {
    faults.push(
      `ROLES is ${shown(wantedRoles)}, but REDIS_URL is not set: a process with one role needs a Redis it shares with the other. Set REDIS_URL, or leave ROLES unset.`,
    );
  }
  return faults;
}
