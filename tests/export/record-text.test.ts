import { describe, expect, test } from 'vitest';
import { inLargerBytes } from '../../src/export/record-text.ts';

const text = (bytes: readonly Uint8Array[]) => Buffer.concat(bytes).toString('utf8');

describe('the pieces of a file', () => {
  test('come together in few large ones, and are the same bytes', () => {
    const rows = Array.from(
      { length: 30_000 },
      (_, index) => `${index}: Frau Müller’s 🐈, ${'x'.repeat(80)}\n`,
    );
    const bytes = [...inLargerBytes(rows)];
    expect(bytes.length).toBeLessThan(5);
    expect(text(bytes)).toBe(rows.join(''));
  });

  test('are none of nothing', () => {
    expect([...inLargerBytes([])]).toEqual([]);
  });

  // V8 holds no text of more than 2^29 - 24 characters on 64 bits; ten thousand lines as FHIR are longer.
  test('may be longer than any one text', () => {
    const longest = 2 ** 29 - 24;
    const piece = 'y'.repeat(8_000_000);
    function* pieces() {
      for (let written = 0; written <= longest; written += piece.length) yield piece;
    }
    let bytes = 0;
    for (const { length } of inLargerBytes(pieces())) bytes += length;
    expect(bytes).toBeGreaterThan(longest);
    expect(() => [...pieces()].join('')).toThrow('Invalid string length');
  });
});
