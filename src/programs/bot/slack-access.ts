import { practiceWorld } from '../../practice/practice-world.ts';
import type { ServiceParts } from '../../service/service-parts.ts';
import type { Reach } from '../../slack/edge/bolt-app.ts';
import type { Config } from '../config.ts';

/** The one workspace of a token, or many. */
export function servesOf(config: Config): ServiceParts['slack']['serves'] {
  if (config.mode === 'practice') return { botToken: practiceWorld().app.botToken };
  return config.mode === 'many' ? config : { botToken: config.botToken };
}

/** By which way the platform reaches the bot. */
export function reachOf(config: Config): Reach {
  switch (config.mode) {
    case 'practice':
      return { by: 'socket', appToken: practiceWorld().app.appToken };
    case 'socket':
      return { by: 'socket', appToken: config.appToken };
    case 'http':
    case 'many':
      return {
        by: 'http',
        signingSecret: config.signingSecret,
        port: config.port,
      };
  }
}
