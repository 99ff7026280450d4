import { describe, expect, test } from 'vitest';
import { libraryLog, ownWords } from '../../src/observe/library-log.ts';
import type { LogFields } from '../../src/observe/safe-fields.ts';

function watching() {
  const lines: [string, LogFields, string][] = [];
  const keep = (level: string) => (fields: LogFields, event: string) =>
    void lines.push([level, fields, event]);
  return {
    lines,
    log: { debug: keep('debug'), info: keep('info'), warn: keep('warn'), error: keep('error') },
  };
}

describe('ownWords', () => {
  // Sentences as the installed @slack/web-api 8.2 and @slack/socket-mode 3.1 build them; the quoted parts are invented.
  test.each([
    [
      "A pong wasn't received from the server before the timeout of 5000ms!",
      "A pong wasn't received from the server before the timeout of",
    ],
    ['http request failed {"channel":"C1","text":"Biscuit"}', 'http request failed'],
    ['Unhandled event: Biscuit is late', 'Unhandled event'],
    ['The `text` argument is missing', 'The'],
  ])('keeps of %j only what the library wrote itself', (sentence, kept) => {
    expect(ownWords([sentence])).toBe(kept);
  });

  test('finds no words in an object', () => {
    expect(ownWords([{ text: 'Biscuit' }])).toBe('');
  });
});

describe('libraryLog', () => {
  test('passes warnings and errors on under the library name', () => {
    const { lines, log } = watching();
    const error = new Error('Biscuit');
    const library = libraryLog(log, 'bolt');
    library.warn('Slow', { text: 'Biscuit' });
    library.error('Failed: Biscuit', error);
    library.error(error);
    expect(lines).toEqual([
      ['warn', {}, 'bolt: Slow'],
      ['error', { err: error }, 'bolt: Failed'],
      ['error', { err: error }, 'bolt: no words of its own'],
    ]);
  });

  test('drops what a library says at debug and info: payloads stand there', () => {
    const { lines, log } = watching();
    const library = libraryLog(log, 'bolt');
    library.debug('body', 'text=Biscuit');
    library.info('Biscuit');
    expect(lines).toEqual([]);
  });
});
