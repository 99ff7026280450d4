import { describe, expect, test } from 'vitest';
import { recordFormats } from '../../src/app/record-file.ts';
import type { WardCopy } from '../../src/app/ward-copy.ts';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import { makeRecordFile } from '../../src/export/make-record-file.ts';
import { recordText } from '../../src/export/record-text.ts';
import { nightWard } from './ward-copies.ts';

const { copy, now } = nightWard();
const policyIfNone = defaultPolicy('UTC');
/** The night's lines many times over: more than are handed to the thread at once. */
const manyLines: WardCopy = {
  ...copy,
  lines: Array.from({ length: 47 }, (_, index) =>
    copy.lines.map((line) => ({ ...line, id: `${line.id}-${index}` })),
  ).flat(),
};

describe('a file made beside the thread that answers', () => {
  test.each(recordFormats)('holds in %s what is written in one go', async (format) => {
    const bytes = await makeRecordFile(manyLines, format, { policyIfNone, now });
    expect(Buffer.from(bytes).toString('utf8')).toBe(
      [...recordText(manyLines, format, { policyIfNone, now, bom: true })].join(''),
    );
  });

  test('fails with the cause where the record cannot be written', async () => {
    const [first] = copy.lines;
    const broken = { ...copy, lines: [{ ...first!, entries: [{ kind: 'nothing there is' }] }] };
    await expect(
      makeRecordFile(broken as unknown as WardCopy, 'ndjson', { policyIfNone, now }),
    ).rejects.toThrow(/nothing there is|Invalid|discriminator/i);
  });
});
