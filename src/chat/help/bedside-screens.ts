import { levelErrorMmHg } from '../../domain/level/level-error.ts';
import type { Screen } from './screen.ts';

/** What ten centimetres do, mmHg. */
const tenCm = levelErrorMmHg(10).toFixed(1);
const never = 'Never flush hard or against resistance. No air and no drugs into an artery.';

/** Verbs of what hands do at the bedside. Where no source is named it is common practice. */
export const bedsideScreens: readonly Omit<Screen, 'does' | 'example'>[] = [
  {
    verb: 'zero',
    title: 'Zero',
    why: 'Zeroing tells the transducer what no pressure is. Skip it and every number is off by however far the transducer has drifted: disposable ones drifted up to 2 mmHg either way in three hours (Gordon, Med Instrum 1987;21:87–91).',
    when: 'At your first look each shift. Straight after placing, a sample, a redress, a fault or anything that moved. Before you treat a number that surprises you.',
    thumb:
      'On the card press *Zeroed and levelled*; or open the line in the menu and press *Zero…*, which walks the steps.',
    after: 'If the monitor was further off zero than the ward allows, earlier readings are marked doubtful.',
    wrong: [
      'A tap left open to air bleeds; one left closed shows no trace and the line clots. Check that the wave is back.',
      'Zeroed but not levelled: the number is still off by the height. The form asks for both.',
    ],
    practise: 'not zeroed',
    usual: {},
  },
  {
    verb: 'level',
    title: 'Level',
    why: `The transducer weighs the column of fluid between itself and the heart. Set 10 cm too low, it reads ${tenCm} mmHg too high and can hide hypotension; 10 cm too high, it reads that much too low and invites treatment the patient doesn’t need (0.74 mmHg for each cm of saline).`,
    when: 'Whenever the patient or the table has moved, and with every zero.',
    thumb:
      'Open the line in the menu, press *Level…* and fill in how far above or below the heart you found it. Leave it empty if it was right.',
    after:
      'It tells you how far off the pressures were, which way, and what the last reading was at heart level.',
    wrong: [
      'Levelled to the leg, not the heart.',
      'Found it off and didn’t say: the last reading is still believed.',
    ],
    practise: 'not zeroed',
    usual: { height: 8, where: 'below' },
  },
  {
    verb: 'test',
    title: 'Fast-flush test',
    why: 'How the trace rings after a short flush shows what the line does to the pressures. If it rings too long, the systolic reads too high; if it’s sluggish, it reads too low; the mean hardly changes (Gardner, Anesthesiology 1981;54:227–236). You can’t see it in the wave alone: 92 of 300 surgical patients had a line that rang (Romagnoli, Crit Care 2014).',
    when: 'With the first zero of each shift, after a fault, and before you believe a number that surprises you.',
    thumb:
      'Open the line, press *Fast-flush test…* and choose what the trace did. Press *Measure the strip…* to enter lengths from paper. If you’ve uploaded a strip, choose *Read this strip* on its message.',
    after:
      'The last reading and every later one then say whether you can believe them at that heart rate, why not, and what you can still use: the mean.',
    wrong: [
      'In a small patient a long fast flush is a lot of fluid: open it for a second, no more.',
      'A test that’s normal at 80 /min may not be at 220: a line that’s fine for a dog can fail a cat. A measured test is judged at each reading’s own heart rate and pulse pressure. Nobody can see by eye whether a line is fast enough, so above the heart rate your ward has set you’re asked for a strip.',
    ],
    practise: 'not zeroed',
    usual: { verdict: 'normal' },
  },
  {
    verb: 'reading',
    title: 'Reading',
    why: 'The next shift believes what you write down. The bot keeps it with whether the line was zeroed, level and tested, so nobody treats a fault in the line.',
    when: 'Each time you chart the pressures, and whenever one looks wrong.',
    thumb:
      'Open the line, press *Reading…* and enter the monitor’s own mean and the heart rate: without a rate nobody can say whether the line is fast enough. Add a cuff pressure if you have one.',
    after:
      'It answers *trusted* or *doubtful*, why, and which pressure you can still use. A reading beyond the ward’s limits goes to the clinician on call at once.',
    wrong: [
      'One cuff reading that differs proves nothing: in 21 cats, cuff and line could differ by 50 mmHg by chance alone (limits of agreement of systolic pressures, JAVMA 2010;237:402–406). Take three pairs and do the fast-flush test before you blame either.',
    ],
    caution: 'Treat the patient, not the number.',
    practise: 'not zeroed',
    usual: { sap: 118, dap: 64, map: 82, rate: 120 },
  },
  {
    verb: 'flush',
    title: 'Flush',
    why: 'Blood standing in the catheter clots, and a clot damps the trace or loses you the line. Flushing keeps it open.',
    when: 'By hand: as often as your ward has agreed, and after every sample. If a pump or a pressure bag flushes the line, you don’t need to.',
    thumb:
      'Press *Flushed …* on the card or the reminder: it records the volume on the button, your ward’s usual one for this weight. For another volume open the line and press *Flush…*',
    after:
      'It adds up the fluid and heparin given by flushing, and warns you when that’s a lot for the day. If the line was flushed minutes ago it asks first: nothing is recorded until you say yes.',
    wrong: [
      'Too fast: in adults, 10 mL given in under 9 s reversed the flow in the axillary artery in 33 of 51 flushes; given over 9 s or more, in none of 48 (Murphy, Anesthesiology 2006;105:492). Small patient, small volume, slow hand.',
      'It resists: don’t push. Tell the bot something is wrong.',
      'Ticked but not done: that’s the hour it clots.',
      'Heparin in the syringe and not recorded: in a small animal, or one that bleeds, it adds up unseen.',
    ],
    caution: never,
    practise: 'by hand',
    usual: { volume: 1 },
  },
  {
    verb: 'source',
    title: 'Flush source',
    why: 'If the bag loses pressure or runs dry, blood comes back up the line and clots. The usual pressure is 300 mmHg (Murphy, Anesthesiology 2006;105:492).',
    when: 'Once a shift on continuous flush, and before the bag or syringe runs out: the bot works out when.',
    thumb:
      'Open the line, press *Flush source…* and choose: checked, changed, changed with the transducer set, or switched between manual and continuous.',
    after:
      'Give the volume and rate and it works out when the source runs dry. Switch to continuous and the hourly flush stops; switch back and it starts again.',
    wrong: [
      'Volume left not recorded: the clock still runs from the last volume.',
      'Air in a pressurised bag goes where the fluid goes.',
    ],
    practise: 'continuous',
    usual: { what: 'checked', volume: 30, pressure: 300 },
  },
  {
    verb: 'redress',
    title: 'Redress',
    why: 'Infection starts under a damp or dirty dressing, and a loose one is how lines come out.',
    when: 'As often as your ward has agreed, and straight away if it’s damp, loose or dirty.',
    thumb:
      'Press *Redressed, site nothing amiss* on the reminder, or open the line, press *Redress…* and say whether you looked and what you saw. If you leave that out, it asks.',
    after:
      'What you saw under the dressing counts as the site check. If you type it, use one word each: swollen, painful, oozing, cold, no pulse. Anything alarming goes to the clinician at once.',
    wrong: [
      'The catheter slips out with the old dressing: hold the hub.',
      'The line gets pulled on: that’s why zero and level are due afterwards.',
    ],
    practise: 'by hand',
    usual: { site: 'nothing amiss' },
  },
  {
    verb: 'check',
    title: 'Site check',
    why: 'A line can block its own artery, and the paw shows it first: cold, pale, no pulse. Spot it early, take the line out, and you save the limb.',
    when: 'As often as your ward has agreed, with every redress, and after the line is out.',
    thumb:
      'Press *Looked: nothing amiss* on the reminder, or open the line, press *Site check…* and choose *Looked: nothing amiss* or tick what you saw. Typing “nothing amiss” or “ok” works too; the name alone opens the form.',
    after:
      'Swelling, pain, ooze, a cold paw or no pulse goes to the clinician on call at once, again and again until somebody looks. To type it: `cold, no pulse note toes pale`.',
    wrong: [
      'Looked at the dressing, not the paw: feel for pulse and warmth below it, and compare with the other side.',
      'A tight bandage looks like a blocked artery. Loosen it, feel again, and record both.',
    ],
    practise: 'by hand',
    usual: { site: 'nothing amiss' },
  },
  {
    verb: 'moved',
    title: 'Moved, or off the ward',
    why: 'Turn the patient or hang the transducer somewhere else, and the numbers change though the animal hasn’t. And nobody from the ward flushes a patient who’s in theatre.',
    when: 'After every turn, walk, or change of table or cage, whenever the line was opened, and when the patient leaves the ward, arrives, and comes back.',
    thumb:
      'Open the line, press *Moved, or off the ward…* and choose which. On the way out, say who has the patient and whether the line is capped. *Back on the ward* is one tap on the card.',
    after:
      'Readings are doubted until the line is zeroed and levelled. While the patient is away, flush, site check, run-out and a cat’s limit go to the person you named by direct message, then to the clinician; redress, test, set and source check wait until the patient is back. To type it: `moved Biscuit to theatre with @ana capped`, `moved Biscuit back`.',
    wrong: [
      'Turned and not recorded: the number jumps and somebody treats it.',
      'Came apart and flushed straight away: draw back first, replace every piece that lay open, and estimate the blood lost.',
      'Off the ward with nobody named: the ward nurse is still asked.',
      'Back but not recorded: messages still go to theatre. If it takes too long, the card, the due list and the handover ask.',
    ],
    practise: 'by hand',
    usual: {},
  },
  {
    verb: 'transducer',
    title: 'Transducer on or off',
    why: 'Some lines are only for blood gases: capped, with no transducer. There’s nothing to zero, level or test then, and no number to trust.',
    when: 'When you cap a line, for a move or for good, and when you connect it to a transducer.',
    thumb:
      'Open the line and press *Transducer off…*; on a capped line press *On its transducer again* or *Join a transducer…*',
    after:
      'A capped line is flushed by hand and keeps its flush, redress, site check, dwell and blood total. Once it’s on a transducer, zero, level and test are due at once. To register one, choose *Samples only, capped* or type `samples only`.',
    wrong: [
      'Capped without a flush: blood stands in the hub and clots. Say so, and a flush is due at once.',
      'Connected to a new set but recorded as the old one: the set’s age is counted from the old one.',
    ],
    practise: 'by hand',
    usual: { what: 'capped', flushed: 'flushed' },
  },
  {
    verb: 'sample',
    title: 'Sample',
    why: 'In a small animal every sample adds up, and too small a discard dilutes the sample. In people, twice the dead space was enough for blood gas and electrolytes (Rickard, Crit Care Med 2003;31:1654–1658); clotting tests need more.',
    when: 'With every sample. Record the discard too: returned or thrown away.',
    thumb:
      'Open the line and press *Sample…*. It shows what’s been taken so far and how much is left before the ward’s limit.',
    after:
      'It adds up 24 hours, in mL and as a percentage of blood volume, and warns you above the ward’s limit.',
    wrong: [
      'Discard not recorded: nobody counts the blood lost.',
      'Not flushed after: the line clots. Say what you did: if it wasn’t flushed, or you don’t say, a flush is due at once.',
      'Tap left the wrong way: that’s why zero and level are due afterwards.',
    ],
    caution: never,
    practise: 'by hand',
    usual: { volume: 1, discard: 2, discardReturned: 'returned', flushed: 'flushed' },
  },
  {
    verb: 'fault',
    title: 'Something is wrong',
    why: 'When the trace is flat, spiky, gone or drifting, it’s either the line or the animal. The questions start with the patient, then go from catheter to monitor, so nothing gets forgotten at three in the morning.',
    when: 'As soon as the trace changes.',
    thumb:
      'Open the line, press *Something is wrong…*, choose what the trace is doing, and answer each question with a tap.',
    after:
      'Each answer is saved, so somebody else can carry on where you stopped. If the patient looks bad, or the questions find nothing, the clinician on call is told at once.',
    wrong: [
      'Flushing against resistance to see if it helps: it can send a clot up the artery.',
      'Looking at the monitor first: if the patient looks bad, see to the patient before any trace.',
    ],
    caution: never,
    practise: 'by hand',
    usual: [
      { kind: 'faultOpened', body: { sign: 'drifting' } },
      { kind: 'faultClosed', body: { resolved: true, sign: 'drifting' } },
    ],
  },
  {
    verb: 'remove',
    title: 'Line out',
    why: 'Every hour in adds risk, and a line nobody needs is all risk. One text on cats wants it out within 24 h because a cat’s paw has little other blood supply (van den Herik and Gommeren); wards often agree on less.',
    when: 'As soon as nobody needs it, at a cat’s dwell limit, before the patient walks, and at once for a bad limb, infection or bleeding. If it isn’t working, look for a kink and check the taps first.',
    thumb: 'Open the line, press *Line taken out…* and say why, whether the tip was whole, and what you saw.',
    after:
      'It times the hold and asks for the pulse checks, even once the patient is off the list. For dogs, one reference says to hold for at least 4 min (online veterinary reference, ISSN 2398-2942); your ward’s minutes are in its policy.',
    wrong: [
      'A bleeding disorder or unknown clotting, and you didn’t ask the clinician: some bleed for a long time. Ask first, have somebody free to hold for the longer time your ward has set, then bandage and look again.',
      'Pulse below not felt beforehand: afterwards nobody can tell what the line did.',
      'Peeking early: it bleeds again, and you start the hold over.',
      'Tip not looked at: a piece left in the artery travels. If any of it is missing, the clinician is told at once.',
      'Out but not recorded: the bot keeps asking for care.',
    ],
    practise: 'by hand',
    usual: { reason: 'planned', tip: 'tip whole', site: 'nothing amiss' },
  },
  {
    verb: 'pulse',
    title: 'Pulse check',
    why: 'An artery can block after the line is out. In one series the pulse was gone the next day in 21 of 94 (JVECC 2017;27:89–95). Mostly it does no harm, but the few it harms must be found.',
    when: 'One hour after removal and the next day, or as your ward has agreed.',
    thumb: 'Press *Pulse present* on the reminder, or open the line and press *Pulse check…*',
    after:
      'Absent or cold goes to the clinician at once. So does weak, or “can’t tell”, at the second check or more than 6 h after removal. Once both checks are done the line leaves the list.',
    wrong: ['Felt above the puncture: feel below it and compare with the other side.'],
    practise: 'out',
    usual: { pulse: 'present' },
  },
];
