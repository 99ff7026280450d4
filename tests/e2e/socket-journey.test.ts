import { afterAll, beforeAll, describe } from 'vitest';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';
import { faultJourney } from './fault-journey.ts';
import { journey } from './journey.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());

describe('the main job, over Socket Mode', () => {
  journey('socket', () => redis);
  faultJourney('socket', () => redis);
});
