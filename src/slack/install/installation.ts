import { z } from 'zod';

const slackId = z.string().regex(/^[A-Z0-9]{2,30}$/);

/** What is sealed of one installation. */
export const installationSchema = z.object({
  /** The workspace (`T…`) or the organisation (`E…`) it is in. */
  id: slackId,
  name: z.string().max(200).default(''),
  token: z.string().min(1),
  /** The bot's own ids there. */
  userId: z.string().min(1),
  botId: z.string().default(''),
  scopes: z.array(z.string()).default([]),
  installedBy: z.string().default(''),
  /** Of a token that runs out: what renews it, once, and when it does, real ms. */
  renewal: z
    .object({ refreshToken: z.string().min(1), expiresAt: z.number().int() })
    .nullable()
    .default(null),
});
export type Installation = z.infer<typeof installationSchema>;

/** Thrown where the app is not installed in a workspace, or not any more. */
export class NotInstalled extends Error {
  constructor(team: string) {
    super(`the app is not installed in ${team}`);
    this.name = 'NotInstalledError';
  }
}
