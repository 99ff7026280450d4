import { describe } from 'vitest';
import { journeyContract } from './journey-contract.ts';
import { startTinyWard } from './tiny-app.ts';

describe('a real Bolt app in Socket Mode', () => {
  journeyContract(() => startTinyWard());
});
