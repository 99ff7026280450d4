import { describe } from 'vitest';
import { memoryRecord } from '../support/memory-record.ts';
import { policy } from './ward-changes.ts';
import { wardRecordContract } from './ward-record.contract.ts';

describe('the record in memory', () => {
  wardRecordContract(async () => memoryRecord(policy));
});
