import { describe, expect, it } from 'vitest';
import {
  encrypted,
  opened,
  SealNotOpened,
  seal,
  sealedBy,
  type TokenKey,
} from '../../../src/slack/install/seal.ts';
import * as fc from '../../support/properties.ts';

const bytes = (hex: string) => Buffer.from(hex.replaceAll(/\s/g, ''), 'hex');
const key = (id: string, fill: number): TokenKey => ({ id, key: Buffer.alloc(32, fill) });
const [old, fresh] = [key('2025', 1), key('2026', 2)];

describe('AES-256-GCM', () => {
  // McGrew & Viega, "The Galois/Counter Mode of Operation (GCM)", submission to NIST, appendix B, test case 16.
  it('gives the published text and tag', () => {
    const { text, tag } = encrypted(
      bytes('feffe9928665731c6d6a8f9467308308 feffe9928665731c6d6a8f9467308308'),
      bytes('cafebabefacedbaddecaf888'),
      bytes('feedfacedeadbeeffeedfacedeadbeef abaddad2'),
      bytes(
        'd9313225f88406e5a55909c5aff5269a 86a7a9531534f7da2e4c303d8a318a72 1c3c0c95956809532fcf0e2449a6b525 b16aedf5aa0de657ba637b39',
      ),
    );
    expect(text.toString('hex')).toBe(
      '522dc1f099567d07f47f37a32a84427d643a8cdcbfe5c0c97598a2bd2555d1aa8cb08e48590dbb3da7b08b1056828838c5f61e6393ba7a0abcc9f662',
    );
    expect(tag.toString('hex')).toBe('76fc6ece0f4e1768cddf8853bb2d551b');
  });
});

describe('what is sealed', () => {
  it('comes out as it went in, and never reads or looks the same', () => {
    fc.assert(
      fc.property(fc.string({ minLength: 9 }), (plain) => {
        const [one, other] = [seal([fresh], 'T0ONE', plain), seal([fresh], 'T0ONE', plain)];
        expect(opened([old, fresh], 'T0ONE', one)).toBe(plain);
        expect(one).not.toBe(other);
        expect(one).not.toContain(plain);
      }),
    );
  });

  it('opens for nobody else: another workspace, another key of the same name, one that is not given', () => {
    const sealed = seal([fresh], 'T0ONE', 'xoxb-secret');
    expect(() => opened([fresh], 'T0TWO', sealed)).toThrow(SealNotOpened);
    expect(() => opened([key('2026', 3)], 'T0ONE', sealed)).toThrow(SealNotOpened);
    expect(() => opened([old], 'T0ONE', sealed)).toThrow(/key that was not given/);
    expect(sealedBy(sealed)).toBe('2026');
  });

  it('opens no more once a character of it was changed, its key’s name among them', () => {
    const sealed = seal([fresh, old], 'T0ONE', 'xoxb-secret');
    for (let index = 0; index < sealed.length; index++) {
      const other = sealed[index] === 'A' ? 'B' : 'A';
      const changed = sealed.slice(0, index) + other + sealed.slice(index + 1);
      const read = () => opened([fresh, { ...fresh, id: 'A026' }], 'T0ONE', changed);
      expect(read, changed).toThrow(SealNotOpened);
    }
    expect(() => opened([fresh], 'T0ONE', 'xoxb-plain')).toThrow(/not as it was written/);
  });

  it('opens no more where only bits were changed that are not read', () => {
    // A tag of 16 bytes leaves 4 bits of its last character over: “A” and “B” stand for the same bytes.
    let sealed = '';
    while (!sealed.endsWith('A')) sealed = seal([fresh], 'T0ONE', 'xoxb-secret');
    expect(opened([fresh], 'T0ONE', sealed)).toBe('xoxb-secret');
    expect(() => opened([fresh], 'T0ONE', `${sealed.slice(0, -1)}B`)).toThrow(/not as it was written/);
  });
});
