import { afterAll, beforeAll, describe } from 'vitest';
import { startTestRedis, type TestRedis } from '../support/redis-for-tests.ts';
import { faultJourney } from './fault-journey.ts';
import { journey } from './journey.ts';

let redis: TestRedis;
beforeAll(async () => {
  redis = await startTestRedis();
});
afterAll(() => redis.stop());

describe('the main job, over Socket Mode', () => {
  journey('socket', () => redis);
  faultJourney('socket', () => redis);
});
