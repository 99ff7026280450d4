/** One invented person of a practice workspace. */
export interface WorldUser {
  id: string;
  /** What people type after `@`; lower case, no spaces. */
  handle: string;
  /** The name shown beside messages. */
  name: string;
  /** IANA zone of the person's profile. */
  zone: string;
  /** A word for the person's part on the ward, shown on the practice page. */
  part: 'nurse' | 'clinician' | 'lead';
}

/** One invented channel and who is in it, the bot included. */
export interface WorldChannel {
  id: string;
  /** Without the leading `#`. */
  name: string;
  purpose: string;
  memberIds: readonly string[];
}

/** Everything a practice workspace starts with: ids, tokens, people and channels. All of it is invented. */
export interface PracticeWorld {
  team: { id: string; domain: string; name: string };
  /** The organisation the workspace belongs to; `isInstalled`: the app is installed in it as a whole, not in the workspace. */
  enterprise?: { id: string; name: string; isInstalled: boolean };
  app: { id: string; botId: string; botUserId: string; botName: string; botToken: string; appToken: string };
  /** The IANA zone in which the page draws clock times. */
  wardZone: string;
  /** The slash command that reaches the app, with its slash. */
  command: string;
  users: readonly WorldUser[];
  channels: readonly WorldChannel[];
  /** The id of the channel the page draws as the ward. */
  wardChannelId: string;
  /** What the app's manifest puts into the menu of every message (features.shortcuts of type message). */
  shortcuts: readonly { callbackId: string; name: string }[];
  /** What the manifest offers from anywhere (features.shortcuts of type global). */
  globalShortcuts: readonly { callbackId: string; name: string }[];
}
