/** The page's title. */
export const installTitles = { done: 'Installed', failed: 'Not installed' } as const;

/** After the app was installed in a workspace; `name` is empty where the platform gave none. */
export function installedWords(name: string, isEnterprise: boolean): string {
  const where = name === '' ? 'your workspace' : name;
  const first = isEnterprise ? 'An administrator adds it to each workspace. Then invite' : 'Now invite';
  return `Dicrotic is installed in ${where}. ${first} it into each ward’s channel: type /invite @Dicrotic there. It then offers to set the ward up.`;
}

/** Faults of the browser's way here, by Bolt's own codes, and not of ours. */
const ofTheBrowser: Readonly<Record<string, string>> = {
  slack_oauth_invalid_state:
    'This page was not opened from the install page in this browser, or too long ago.',
  slack_oauth_missing_state: 'This page was not opened from the install page.',
  slack_oauth_missing_code: 'This page was not opened by Slack.',
  slack_oauth_installer_authorization_error: 'The installing was cancelled in Slack.',
};

/** Whether it was the browser's way here that failed. */
export function isOfBrowser({ code = '' }: { code?: string }): boolean {
  return code in ofTheBrowser;
}

/** After the app couldn't be installed, by the code of the fault. */
export function installFailedWords({ code = '' }: { code?: string }): string {
  const why = ofTheBrowser[code] ?? 'Slack did not give a token, or it could not be kept.';
  return `${why} Nothing was changed. Start again at /slack/install; if it happens again, tell whoever runs the bot.`;
}
