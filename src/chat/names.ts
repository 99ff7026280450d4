/** Names of people as they are shown. Naming somebody this way notifies nobody. */
export interface Names {
  /** The display name, safe in mrkdwn; falls back to a mention when the platform does not tell. */
  of(user: string): Promise<string>;
}
