import { describe } from 'vitest';
import { journeyContract } from './journey-contract.ts';
import { startTinyHttpWard } from './tiny-app.ts';

describe('a real Bolt app over signed HTTP requests', () => {
  journeyContract(() => startTinyHttpWard());
});
