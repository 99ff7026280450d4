import { describe, expect, test } from 'vitest';
import { type EntryKind, entryKinds } from '../../src/domain/record/entry.ts';
import { type WardEntryKind, wardEntryKinds } from '../../src/domain/ward/ward-entry.ts';
import { decodeEntry, decodeWardEntry, encodeEntry, encodeWardEntry } from '../../src/redis/entry-codec.ts';
import * as fc from '../support/properties.ts';
import { entryOf, wardEntryOf } from './arbitrary-entries.ts';

/** Entries as they already lie in logs. A line here is never changed: it stands for what wards have stored. */
const stored: Record<EntryKind, string> = {
  placed:
    '["pl",1795543200000,0,"U0NINA","f",{"patient":{"name":"Biscuit","species":"dog","weightKg":28},"site":"dorsal pedal","side":"left","gauge":20,"flushMode":"manual","nurse":"U0NINA"}]',
  zeroed: '["ze",1795543200000,0,"U0NINA","b",{"openToAirMmHg":-2}]',
  levelled: '["le",1795543200000,0,"U0NINA","c",{"belowHeartCm":4}]',
  fastFlushTested: '["te",1795543200000,0,"U0NINA","b",{"verdict":"normal"}]',
  flushed: '["fl",1795543200000,120000,"U0NINA","b",{"volumeMl":1}]',
  flushModeChanged:
    '["mo",1795543200000,0,"U0NINA","f",{"mode":"continuous","source":{"kind":"syringe","volumeMl":50,"rateMlPerH":1}}]',
  sourceChanged:
    '["so",1795543200000,0,"U0NINA","f",{"source":{"kind":"pressure bag","pressureMmHg":300},"newSet":true}]',
  sourceChecked: '["sc",1795543200000,0,"U0NINA","b",{"pressureMmHg":290}]',
  redressed: '["re",1795543200000,0,"U0NINA","b",{"finding":{"soiled":true}}]',
  siteChecked: '["si",1795543200000,0,"U0NINA","b",{"finding":{}}]',
  sampled:
    '["sa",1795543200000,0,"U0NINA","c",{"volumeMl":2,"discardMl":3,"discardReturned":true,"flushed":true}]',
  reading: '["rd",1795543200000,0,"U0NINA","c",{"sapMmHg":120,"dapMmHg":70,"mapMmHg":88}]',
  transducerJoined:
    '["tj",1795543200000,0,"U0NINA","f",{"newSet":false,"flushMode":"continuous","source":{"kind":"pressure bag","volumeMl":200,"rateMlPerH":3}}]',
  capped: '["cp",1795543200000,0,"U0NINA","f",{"flushed":true}]',
  leftWard: '["lw",1795543200000,0,"U0NINA","c",{"to":"theatre","with":"U0ANA"}]',
  arrived: '["ar",1795543200000,0,"U0ANA","b",{}]',
  returned: '["bk",1795543200000,0,"U0NINA","b",{"with":"U0NORA"}]',
  disturbed: '["di",1795543200000,0,"U0NINA","c",{"how":"moved"}]',
  faultOpened: '["fo",1795543200000,0,"U0NINA","c",{"sign":"flat"}]',
  faultStep: '["fs",1795543200000,0,"U0NINA","b",{"step":"kinked?","answer":"no"}]',
  faultClosed: '["fc",1795543200000,0,"U0NINA","b",{"resolved":true}]',
  assigned: '["as",1795543200000,0,"U0NINA","b",{"nurse":"U0NORA"}]',
  claimed: '["cl",1795543200000,0,"U0VERA","b",{"duties":[["flush",1795543200000]],"until":1795545000000}]',
  snoozed: '["sn",1795543200000,0,"U0NINA","b",{"duties":[["flush",1795543200000]],"until":1795543800000}]',
  waived:
    '["wa",1795543200000,0,"U0VERA","b",{"duty":"redress","dueAt":1795543200000,"reason":"line comes out soon","until":1795550400000}]',
  targetsSet:
    '["tg",1795543200000,0,"U0VERA","f",{"mapMmHg":{"low":80,"high":100},"reason":"head injury","until":1795564800000}]',
  targetsEnded: '["tx",1795543200000,0,"U0VERA","b",{}]',
  amended: '["am",1795543200000,0,"U0NINA","c",{"target":2,"at":1795543100000,"body":{"volumeMl":2}}]',
  noted: '["no",1795543200000,0,"U0NINA","f",{"text":"resists","cannot":["flush",1795543200000]}]',
  removed: '["rm",1795543200000,0,"U0NINA","f",{"reason":"planned","tipWhole":true}]',
  pulseChecked: '["pu",1795543200000,0,"U0NINA","b",{"pulse":"present"}]',
  holdEnded: '["ho",1795543200000,0,"U0NINA","b",{"oozing":false}]',
  nudged: '["nu",1795543200000,0,"bot","o",{"duties":[["flush",1795543200000],["site",1795543200000]]}]',
  escalated:
    '["es",1795543200000,0,"bot","o",{"duties":[["flush",1795543200000]],"to":"clinician","user":"U0VERA"}]',
};

const storedOfWard: Record<Exclude<WardEntryKind, 'policySet'>, string> = {
  onCallSet: '["oc",1795543200000,0,"U0NINA","c",{"user":"U0VERA"}]',
  handedOver: '["ha",1795543200000,0,"bot","o",{"for":1795543200000,"auto":true,"lines":4}]',
  handoverAccepted: '["hk",1795543200000,0,"U0NORA","b",{"for":1795543200000}]',
  handoverNudged: '["hn",1795543200000,0,"bot","o",{"for":1795543200000}]',
  wasDown: '["wd",1795543200000,0,"bot","o",{"from":1795543200000,"to":1795546800000,"missed":3}]',
  commandsLost: '["cx",1795543200000,0,"bot","o",{"from":1795543000000}]',
  commandsBack: '["cb",1795543200000,0,"bot","o",{"from":1795541000000,"to":1795543200000}]',
  triesFailed:
    '["tf",1795543200000,0,"U0NINA","f",{"patient":{"name":"Biscuit","species":"dog"},"site":"dorsal pedal","side":"left","gauge":22,"operator":"U0NORA","tries":2,"why":"flash, not threaded"}]',
  triesStruck: '["ts",1795543200000,0,"U0NINA","b",{"target":12}]',
  takenBack: '["tb",1795543200000,0,"U0NINA","b",{"target":3}]',
  coverTold: '["ct",1795543200000,0,"bot","o",{"target":12,"what":"over"}]',
  coverSet: '["co",1795543200000,0,"U0VERA","f",{"away":"U0NINA","by":"U0NORA","until":1795586400000}]',
  channelShut: '["cs",1795543200000,0,"bot","o",{"why":"archived"}]',
  channelOpened: '["cr",1795543200000,0,"bot","o",{}]',
  channelTold: '["cw",1795543200000,0,"bot","o",{"user":"U0NORA"}]',
  unreached: '["ur",1795543200000,0,"bot","o",{"user":"U0VERA"}]',
  audited: '["au",1795543200000,0,"bot","o",{"from":1792951200000,"to":1795543200000}]',
};

const where = 'ward T01.C0123, line a: entry 7';

describe('stored entries', () => {
  test.each(entryKinds)('come back as they were told: %s', (kind) => {
    fc.assert(
      fc.property(entryOf(kind), (entry) => {
        expect(decodeEntry(encodeEntry(entry), where)).toEqual(entry);
      }),
    );
  });

  test.each(wardEntryKinds)('come back as they were told of a ward: %s', (kind) => {
    fc.assert(
      fc.property(wardEntryOf(kind), (entry) => {
        expect(decodeWardEntry(encodeWardEntry(entry), where)).toEqual(entry);
      }),
    );
  });

  test.each(Object.entries(stored))(
    'of older logs are read and written in the same words: %s',
    (kind, text) => {
      const entry = decodeEntry(text, where);
      expect(entry.kind).toBe(kind);
      expect(encodeEntry(entry)).toBe(text);
    },
  );

  test.each(Object.entries(storedOfWard))(
    'of older ward logs are read and written in the same words: %s',
    (kind, text) => {
      const entry = decodeWardEntry(text, where);
      expect(entry.kind).toBe(kind);
      expect(encodeWardEntry(entry)).toBe(text);
    },
  );

  test('keep the time of recording apart from the time it happened', () => {
    expect(decodeEntry(stored.flushed, where)).toMatchObject({
      at: 1_795_543_200_000,
      told: 1_795_543_320_000,
    });
  });

  test.each([
    ['no JSON', '["fl",17955432'],
    ['no list', '{"kind":"flushed"}'],
    ['a value short', '["fl",1795543200000,0,"U0NINA","b"]'],
    ['a value too many', '["fl",1795543200000,0,"U0NINA","b",{},1]'],
    ['of a kind nobody knows', '["xx",1795543200000,0,"U0NINA","b",{}]'],
    ['of a kind by its long name', '["flushed",1795543200000,0,"U0NINA","b",{}]'],
    ['with a time in words', '["fl","1795543200000",0,"U0NINA","b",{}]'],
    ['from a surface nobody knows', '["fl",1795543200000,0,"U0NINA","z",{}]'],
    ['by nobody', '["fl",1795543200000,0,"","b",{}]'],
    ['with a value out of bounds', '["fl",1795543200000,0,"U0NINA","b",{"volumeMl":2000}]'],
    ['with half a millisecond', '["fl",1795543200000.5,0,"U0NINA","b",{}]'],
    ['of a ward', storedOfWard.onCallSet],
  ])('are refused with their place when they are %s', (_, text) => {
    expect(() => decodeEntry(text, where)).toThrow(where);
  });

  test('of a line are refused in the log of a ward', () => {
    expect(() => decodeWardEntry(stored.flushed, 'ward T01.C0123: entry 1')).toThrow(
      'ward T01.C0123: entry 1',
    );
  });
});
