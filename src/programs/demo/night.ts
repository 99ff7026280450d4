/** Who does something in the night, and when by the ward's clock (HH:mm; after midnight is the next day). */
export interface Act {
  at: string;
  who: 'ina' | 'teo' | 'suvi' | 'jorn';
  /** One line for the listener: why it is done. */
  narration: string;
  /** Words after the command; a placing also sends the form it opens. */
  types?: string;
  /** Presses the first button of the newest open message of theirs whose action begins so, about this patient. */
  presses?: { action: string; patient: string; where: 'ward' | 'direct' };
  /** Fills in and sends the form that is open then. */
  sends?: Record<string, string | number>;
}

/** A patient nobody looks after for a while, though reminded. */
export interface Neglect {
  patient: string;
  from: string;
  until: string;
}

/** An invented night on an invented ward: four patients, 19:00 to 08:00. Nobody in it exists. */
export const night: { startsAt: string; endsAt: string; acts: readonly Act[]; neglects: readonly Neglect[] } =
  {
    startsAt: '2026-11-24T19:00:00Z',
    endsAt: '08:00',
    neglects: [{ patient: 'Oskar', from: '03:15', until: '04:05' }],
    acts: [
      {
        at: '19:01',
        who: 'ina',
        narration: 'Ina has the night; Dr Aaltola is put on call.',
        types: 'oncall @suvi',
      },
      {
        at: '19:05',
        who: 'ina',
        narration: 'Biscuit, back from surgery for a twisted stomach, gets a line on a pressure bag.',
        types: 'place Biscuit dog 28kg left dorsal pedal 20g continuous bag 250 mL 3 mL/h 300 mmHg',
      },
      {
        at: '19:12',
        who: 'ina',
        narration: 'Oskar, septic abdomen, is flushed by hand.',
        types: 'place Oskar dog 12kg right dorsal pedal 22g manual',
      },
      {
        at: '19:20',
        who: 'ina',
        narration: 'Miso, a cat hit by a car, gets a line in the tail. The dwell clock starts.',
        types: 'place Miso cat 4.1kg median caudal 24g manual',
      },
      {
        at: '19:26',
        who: 'ina',
        narration: 'Juno’s line was placed this morning and is registered now.',
        types: 'place Juno dog 34kg left radial 20g manual at 10:40',
      },
      {
        at: '20:10',
        who: 'ina',
        narration: 'Ina looks at how few times she can walk tonight, with everything done in time.',
        types: 'round',
      },
      {
        at: '21:30',
        who: 'ina',
        narration: 'A sample from Biscuit: zero is due again.',
        types: 'sample Biscuit 1 mL discard 2 mL returned, flushed after',
      },
      {
        at: '22:05',
        who: 'ina',
        narration: 'A reading for Oskar.',
        types: 'reading Oskar 96/51 mmHg mean 66 mmHg',
      },
      {
        at: '23:30',
        who: 'ina',
        narration: 'Juno no longer needs hers: it comes out.',
        types: 'remove Juno planned tip whole',
      },
      {
        at: '03:25',
        who: 'suvi',
        narration: 'Oskar’s round was missed: everyone is with another patient. Dr Aaltola takes it.',
        presses: { action: 'claim', patient: 'Oskar', where: 'direct' },
      },
      {
        at: '03:28',
        who: 'suvi',
        narration:
          'Miso has been in for eight hours, the limit. Dr Aaltola keeps the line for her transfusion, with a reason and an end.',
        presses: { action: 'open:letgo', patient: 'Miso', where: 'direct' },
        sends: { reason: 'transfusion under way; limb warm, pulse present', for: '4' },
      },
      {
        at: '03:50',
        who: 'suvi',
        narration: 'She does it herself and ticks it off from her own message.',
        presses: { action: 'done', patient: 'Oskar', where: 'direct' },
      },
      {
        at: '04:40',
        who: 'ina',
        narration: 'Miso’s line comes out before its new limit.',
        types: 'remove Miso dwell limit tip whole',
      },
      {
        at: '07:02',
        who: 'teo',
        narration: 'Teo takes the ward over.',
        presses: { action: 'accept', patient: '', where: 'ward' },
      },
      {
        at: '07:58',
        who: 'teo',
        narration: 'The rounds are walked; the lead asks for a handover.',
        types: 'handover',
      },
    ],
  };
