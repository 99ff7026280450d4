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
    why: 'The transducer must be told what no pressure is, or every number is off by as much as it drifted. Disposable transducers drifted by up to 2 mmHg either way in three hours (Gordon, Med Instrum 1987;21:87–91).',
    when: 'With the first look of each shift. At once after placing, a sample, a redress, anything that moved, and a fault that was solved. Before you treat a number that surprises you.',
    thumb:
      'On the card press *Zeroed and levelled*; or open the line in the menu and press *Zero…*, which walks the steps.',
    after:
      'When the monitor was further off zero than the ward allows, the readings before it are marked doubtful.',
    wrong: [
      'A tap left open to air bleeds; one left closed shows nothing and clots. Check that the wave is back.',
      'Zeroed but not level: the number is still off by the height. The form asks for both.',
    ],
    practise: 'not zeroed',
    usual: {},
  },
  {
    verb: 'level',
    title: 'Level',
    why: `The transducer weighs the column of fluid between itself and the heart. 10 cm too low reads ${tenCm} mmHg too high and can hide a low pressure; 10 cm too high reads as much too low and calls for a treatment nobody needs (0.74 mmHg for each cm of saline).`,
    when: 'Whenever the patient or the table was moved, and with every zero.',
    thumb:
      'Open the line in the menu, *Level…* and fill in how far off you found it, below or above; leave it empty when it stood right.',
    after:
      'It says how wrong the pressures were, which way, and what the last reading was at the level of the heart.',
    wrong: [
      'Levelled at the leg, not at the heart.',
      'Found off and not told: the last reading is still believed.',
    ],
    practise: 'not zeroed',
    usual: { height: 8, where: 'below' },
  },
  {
    verb: 'test',
    title: 'Fast-flush test',
    why: 'How the trace rings after a short flush shows what the line does to the pressures. Ringing too long, the systolic reads too high; too slow, it reads too low; the mean is barely touched (Gardner, Anesthesiology 1981;54:227–236). The wave alone does not show it: of 300 surgical patients 92 had a line that rang (Romagnoli, Crit Care 2014).',
    when: 'With the first zero of each shift, after a fault, and before you believe a number that surprises you.',
    thumb:
      'Open the line, *Fast-flush test…* and choose what the trace did. *Measure the strip…* takes lengths from paper. An uploaded strip is read with *Read this strip* on its message.',
    after:
      'The reading before it and those after it say by it whether they can be believed at their heart rate, why not, and what can still be used: the mean.',
    wrong: [
      'A long fast flush in a small patient is a large volume: open it for a second, no more.',
      'A normal test at 80 beats is not one at 220: a line that serves a dog can fail a cat. Measured, it is judged at the heart rate of each reading and on its pulse; by eye nobody sees whether a line is fast enough, so above the ward’s heart rate a strip is asked for.',
    ],
    practise: 'not zeroed',
    usual: { verdict: 'normal' },
  },
  {
    verb: 'reading',
    title: 'Reading',
    why: 'A number written down is believed by the next shift. The bot keeps with it whether the line was zeroed, level and tested, so that nobody treats a fault of the line.',
    when: 'Each time you note the pressures, and whenever one is out of line.',
    thumb:
      'Open the line, *Reading…* and give the monitor’s own mean and the heart rate: without a rate nobody can say whether the line is fast enough. A cuff is worth adding.',
    after:
      'It answers *trusted* or *doubtful*, why, and which pressure can still be used. Beyond the ward’s limits it goes to the clinician on call at once.',
    wrong: [
      'One cuff that differs proves nothing: in 21 cats cuff and line could lie 50 mmHg apart by chance (limits of agreement of systolic pressures, JAVMA 2010;237:402–406). Take three pairs and do the fast-flush test before you blame either.',
    ],
    caution: 'Treat the patient, not the number.',
    practise: 'not zeroed',
    usual: { sap: 118, dap: 64, map: 82, rate: 120 },
  },
  {
    verb: 'flush',
    title: 'Flush',
    why: 'Blood that stands in the catheter clots, and a clot damps the trace or ends the line. Flushing keeps it open.',
    when: 'Flushed by hand: as often as the ward has agreed, and after every sample. Not at all where a pump or a bag does it.',
    thumb:
      'Press *Flushed …* on the card or the reminder: it records the volume it shows, the ward’s usual one for this weight. Another volume: open the line, *Flush…*',
    after:
      'It counts what flushing gives, and warns where that is much of the day’s fluid or heparin. A second flush within minutes is asked about first: nothing is recorded until you say yes.',
    wrong: [
      'Fast by hand: in adults 10 mL pushed in less than 9 s turned the flow in the axillary artery back in 33 of 51 flushes; in 9 s or more, in none of 48 (Murphy, Anesthesiology 2006;105:492). Small patient, small volume, slow hand.',
      'It resists: don’t push. Tell the bot that something is wrong instead.',
      'A flush told as done that wasn’t: that’s the hour it clots.',
      'Heparin in the syringe and not told: in a small animal, or one that bleeds, it adds up unseen.',
    ],
    caution: never,
    practise: 'by hand',
    usual: { volume: 1 },
  },
  {
    verb: 'source',
    title: 'Flush source',
    why: 'A bag that has lost its pressure, or run empty, lets blood come back up the line, and it clots. The usual pressure is 300 mmHg (Murphy, Anesthesiology 2006;105:492).',
    when: 'Each shift in continuous flushing, and before the bag or syringe runs out: the bot works out when.',
    thumb:
      'Open the line, *Flush source…*: checked, changed, changed with the transducer set, or from manual to continuous and back.',
    after:
      'With volume and rate told it starts the run-out clock. From manual to continuous the hourly flush ends; back, it begins again.',
    wrong: [
      'The volume that is left not told: the clock runs from the last one.',
      'Air in the bag under pressure goes where the fluid goes.',
    ],
    practise: 'continuous',
    usual: { what: 'checked', volume: 30, pressure: 300 },
  },
  {
    verb: 'redress',
    title: 'Redress',
    why: 'A damp or soiled dressing is where infection begins, and a loose one is how the line comes out.',
    when: 'As often as the ward has agreed, and at once when damp, loose or soiled.',
    thumb:
      'Press *Redressed, site nothing amiss* on the reminder, or open the line, *Redress…* and say whether you looked and what you saw. Nothing said is asked.',
    after:
      'What you saw under it counts as the site check. Typed, it is a word each: swollen, painful, oozing, cold, no pulse. Anything alarming goes to the clinician at once.',
    wrong: [
      'The catheter slips while the old dressing comes off: hold the hub.',
      'The line was pulled on: zero and level follow for that reason.',
    ],
    practise: 'by hand',
    usual: { site: 'nothing amiss' },
  },
  {
    verb: 'check',
    title: 'Site check',
    why: 'A line can close the artery it lies in, and the paw shows it before anything else does: cold, pale, no pulse. Seen early, the line comes out and the limb is saved.',
    when: 'As often as the ward has agreed, and with every redress. Also after the line is out.',
    thumb:
      'Press *Looked: nothing amiss* on the reminder, or open the line, *Site check…* and choose *Looked: nothing amiss* or tick what you saw. Typed, “nothing amiss” or “ok” says so; the name alone opens the form.',
    after:
      'Swelling, pain, ooze, cold or no pulse goes to the clinician on call at once and is repeated until somebody looks. Typed: `cold, no pulse note toes pale`.',
    wrong: [
      'Looked at the dressing, not at the paw: feel the pulse and the warmth below, and compare with the other side.',
      'A tight bandage looks like a closed artery. Loosen and feel again, and tell both.',
    ],
    practise: 'by hand',
    usual: { site: 'nothing amiss' },
  },
  {
    verb: 'moved',
    title: 'Moved, or off the ward',
    why: 'A patient that was turned, or a transducer that was hung elsewhere, reads otherwise though nothing changed in the animal. And a patient in theatre is flushed by nobody of the ward.',
    when: 'After every turn, walk, table or cage, whenever the line was opened, and when the patient leaves the ward, arrives, and is back.',
    thumb:
      'Open the line, *Moved, or off the ward…* and choose which; on the way out, who has the patient and whether the line was capped. *Back on the ward* is a tap on the card.',
    after:
      'Readings are doubted until the line is zeroed and levelled. Off the ward with somebody named, flush, site check, run-out and a cat’s limit go to that person by direct message and on to the clinician; redress, test, set and source check wait until it is back. Typed: `moved Biscuit to theatre with @ana capped`, `moved Biscuit back`.',
    wrong: [
      'Turned and not told: the number jumps and somebody treats it.',
      'Came apart and flushed at once: draw back first, put a new piece in for each that lay open, and guess the blood lost.',
      'Off the ward with nobody named: the ward’s nurse is still asked.',
      'Back and not told: the messages still go to theatre. After the ward’s hours card, list and handover ask.',
    ],
    practise: 'by hand',
    usual: {},
  },
  {
    verb: 'transducer',
    title: 'Transducer on or off',
    why: 'A line may be there for blood gases alone: capped, with no transducer. Zero, level and test would then be asked for nothing, and a number could not be true.',
    when: 'When a line is capped, for a move or for good, and when it is joined to a transducer.',
    thumb:
      'Open the line, *Transducer off…*; on a capped line *On its transducer again* or *Join a transducer…*',
    after:
      'Capped, it is flushed by hand, and keeps flush, redress, site check, dwell and blood total. Joined, zero, level and test are due at once. Register it so with *Samples only, capped*, or typed `samples only`.',
    wrong: [
      'Capped without a flush: blood stands in the hub and clots. Say so, and the flush is due at once.',
      'Joined to another set and told as the same: the set’s days are counted from the old one.',
    ],
    practise: 'by hand',
    usual: { what: 'capped', flushed: 'flushed' },
  },
  {
    verb: 'sample',
    title: 'Sample',
    why: 'Blood drawn adds up in a small animal, and a discard too small waters the sample down. In people twice the dead space was enough for blood gas and electrolytes (Rickard, Crit Care Med 2003;31:1654–1658); clotting tests want more.',
    when: 'With every sample, the discard told too: given back or thrown away.',
    thumb:
      'Open the line, *Sample…* which says first what was taken so far and what is left up to the ward’s limit.',
    after: 'It adds up 24 hours in mL and as a share of the blood volume, and warns above the ward’s limit.',
    wrong: [
      'The discard not told: blood is lost that nobody counts.',
      'Not flushed after: the line clots. Tell it as it was; not flushed, or not said, the flush is due at once.',
      'The tap left wrong: zero and level follow for that reason.',
    ],
    caution: never,
    practise: 'by hand',
    usual: { volume: 1, discard: 2, discardReturned: 'returned', flushed: 'flushed' },
  },
  {
    verb: 'fault',
    title: 'Something is wrong',
    why: 'A flat, spiky, missing or drifting trace is either the line or the animal. The path looks at the patient first, then from the catheter to the monitor, so that nothing is forgotten at three in the morning.',
    when: 'As soon as the trace is not what it was.',
    thumb:
      'Open the line, *Something is wrong…*, choose what the trace does, and press an answer to each question.',
    after:
      'Each answer is kept, and another person can go on where you stopped. A patient that looks bad, or a path that finds nothing, goes to the clinician on call at once.',
    wrong: [
      'Flushing against resistance to see whether it helps: it can send a clot up the artery.',
      'The monitor looked at first: a patient that looks bad is looked after before any trace.',
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
    why: 'Each hour in adds risk, and a line that nobody needs gives nothing for it. One text on cats wants it out within 24 h because little else feeds the paw (van den Herik and Gommeren); wards often agree on less.',
    when: 'As soon as nobody needs it, at a cat’s dwell limit, before the patient walks, and at once for a bad limb, infection or bleeding. A line that does not work: once you’ve looked for a kink and checked the taps.',
    thumb: 'Open the line, *Line taken out…*: why, whether the tip was whole, what you saw.',
    after:
      'It times the hold and asks for the pulse checks, also when the patient has left the list. For dogs one reference says to hold for at least 4 min (online veterinary reference, ISSN 2398-2942); the ward’s minutes stand in its policy.',
    wrong: [
      'A bleeding disorder, or clotting that nobody knows, and the clinician not asked: some bleed for a long time. Ask first; hold for the longer time the ward has set, with somebody free to hold; then a bandage, and look again.',
      'The pulse below not felt before: nobody can tell afterwards what the line has done.',
      'Peeking before the time: it starts to bleed again, and you hold from the start.',
      'The tip not looked at: a piece left in the artery travels. One that is missing goes to the clinician at once.',
      'Out and not told: the bot goes on asking for care.',
    ],
    practise: 'by hand',
    usual: { reason: 'planned', tip: 'tip whole', site: 'nothing amiss' },
  },
  {
    verb: 'pulse',
    title: 'Pulse check',
    why: 'An artery can close after the line is out. In one series the pulse was gone the next day in 21 of 94 (JVECC 2017;27:89–95); mostly it does no harm, and the few it harms must be found.',
    when: 'One hour after removal and the next day, or as the ward has agreed.',
    thumb: 'Press *Pulse present* on the reminder, or open the line, *Pulse check…*',
    after:
      'Absent or cold goes to the clinician at once; weak, or not to be told, from the second check on, or more than 6 h after removal. When both checks are done the line leaves the list.',
    wrong: ['Felt above the puncture: feel below it, and compare with the other side.'],
    practise: 'out',
    usual: { pulse: 'present' },
  },
];
