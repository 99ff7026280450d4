import type { Screen } from './screen.ts';

/** Verbs of the ward as a whole, and those before and after the bedside. */
export const wardScreens: readonly Screen[] = [
  {
    verb: 'place',
    title: 'Register a line',
    does: 'opens the page to read before placing, or with words after it the form that registers a line; nothing is registered until you send it',
    example: '/artline place Biscuit dog 28kg left dorsal pedal 20g manual',
    why: 'From then on the bot knows the line and reminds you of its care. In dogs and cats the dorsal pedal artery is tried first (Mazzaferro, Small Animal Critical Care Medicine, 2nd ed., ch. 201).',
    when: 'Open the first page before you place it, the second as soon as it’s in and taped. If it’s been in a while, register it with the time it was placed.',
    thumb:
      '*Register a line* at the top of the menu: first the reasons for and against and what to have ready, then the line itself.',
    after: 'Its card appears in the channel, and reminders name the nurse you chose.',
    wrong: [
      'Wrong side or site: every reminder then sends people to the wrong paw. Put it right with amend.',
      'Weight guessed too high: too much blood gets taken.',
      'Anything you left out or that wasn’t understood is left blank, at the top of the form. If you type a vein, no artery is chosen for you.',
    ],
    caution:
      'Avoid arterial lines in a severe bleeding disorder: platelets below 50,000/µL, or both clotting times prolonged (Mazzaferro, as above).',
    practise: 'none',
  },
  {
    verb: 'risks',
    title: 'For the owner',
    does: 'shows half a page to read to the owner: what a line is for, what can happen and how often; only you see it',
    example: '/artline risks cat',
    why: 'An owner who knows that in one series 1 line in 5 had a minor complication (dogs; Hagley, J Vet Emerg Crit Care 2021) can say yes or no.',
    when: 'Before a line is placed, while there’s time for questions.',
    thumb:
      '*For the owner…* in the menu and on the page before placing, with *Send me the page to print* below it.',
    after:
      'Once your ward has had 50 or more lines out in that species in 2 years the figures are its own; before that they’re published ones. Each says which.',
    wrong: [
      'Read out as a promise: the figures come from other animals.',
      'Taken as advice: it says what can happen, not what to do.',
    ],
    practise: { no: 'it only reads and changes nothing. Ask for the real one.' },
  },
  {
    verb: 'attempt',
    title: 'Attempt failed',
    does: 'records failed attempts at placing a line; without words it opens the form',
    example: '/artline attempt Biscuit cat left dorsal pedal 22g 2 tries haematoma',
    why: 'Unless failed attempts are recorded, nobody knows how often the first one works. It’s hard: in one trial in cats the dorsal pedal artery was cannulated in 9 of 52 limbs (J Feline Med Surg 2024, doi:10.1177/1098612X241257857).',
    when: 'As soon as you stop without a line, even if somebody else carries on.',
    thumb: '*Attempt failed…* in the menu and on the page before placing.',
    after: 'It tells you how long to hold pressure and what to look for.',
    wrong: [
      'Only the last try recorded: every one counts, and so does who tried.',
      'Puncture left alone: hold it as you would after a removal, then look at it and the paw again.',
    ],
    practise: 'none',
  },
  {
    verb: 'mine',
    title: 'Mine, due now',
    does: 'opens what you’re asked for now, with the buttons to say it’s done, and when each of your lines needs you next',
    example: '/artline mine',
    why: 'Your own list, on one screen: nobody else’s lines to read past.',
    when: 'Whenever you’ve a hand free.',
    thumb: '*Mine, due now* in the menu and on every card; the bot’s Home tab shows it too.',
    after: '*All done* records everything the line above it names, for all your lines at once.',
    wrong: [
      '*All done* pressed for what you didn’t do: read what it records first. *Take back* undoes it for 2 min.',
    ],
    practise: { no: 'it shows your own lines as they are. Ask for the real one.' },
  },
  {
    verb: 'due',
    title: 'What’s due',
    does: 'shows what’s due on this ward, late first; only you see it',
    example: '/artline due',
    why: 'One look tells you where you’re needed first.',
    when: 'At the start of your shift, and between rounds.',
    thumb: 'The menu lists each line with what’s due next; *Open* shows everything for one line.',
    wrong: ['It only knows what’s been recorded. Care that was done but not recorded shows as late.'],
    practise: 'by hand',
  },
  {
    verb: 'round',
    title: 'Rounds',
    does: 'shows the visits of this shift as you’ll be reminded of them, nurse by nurse; only you see it',
    example: '/artline round',
    why: 'At night, four walks instead of ten for the same care, and the animals get more rest.',
    when: 'At the start of the shift, and after anything that changes the plan.',
    thumb: '*Rounds of this shift* in the menu; they’re at the end of a handover too.',
    wrong: ['It’s a plan from what’s known now: a sample or a fault changes it. Ask again.'],
    practise: 'by hand',
  },
  {
    verb: 'handover',
    title: 'Handover',
    does: 'posts the handover of every line here; it also comes by itself before each shift',
    example: '/artline handover',
    why: 'What isn’t handed over is forgotten by morning. The first post takes a minute: who is on call in the coming shift, *Watch* (what went wrong, most urgent first, and what to do if it comes back), every stable line, the next visits. Each patient in ISBAR order (identify, situation, background, assessment, recommendation; Burgess, BMC Med Educ 2020) and all visits are in its thread.',
    when: 'It comes by itself before each shift. Ask for one if a patient or the whole ward changes hands in between.',
    thumb:
      '*Hand over now* in the menu; whoever takes over presses *Accept: I’ve read Watch*, or *Read Watch back…* to tick each line of it as it’s read. *Handover on paper…* in the menu, or `/artline handover paper`, sends you a page to print.',
    after:
      'Reminders go to whoever accepted. What wasn’t read back is named on the handover. If nobody accepts, it asks again.',
    wrong: [
      'Accepted unread: the button says you have read Watch and have the ward.',
      'Read an hour later: it stands as of its own time; the cards go on.',
      'Not printed before a planned outage: the page in its thread has a box for each visit, and you can work from it alone.',
    ],
    practise: 'by hand',
  },
  {
    verb: 'assign',
    title: 'Who has which line',
    does: 'gives a line, or all of them, to a nurse, now or for the next shift; on its own it opens the whole list',
    example: '/artline assign Biscuit @name next shift',
    why: 'One line, one name: what’s everybody’s job is nobody’s.',
    when: 'At the start of the shift, and when somebody gets sent elsewhere.',
    thumb: '*Who has which line…* in the menu; *Share out the lines…* on a handover once it’s accepted.',
    after:
      'Reminders for the line name that nurse. A line given for a shift stays theirs even if somebody else accepts that shift’s handover.',
    wrong: ['Given to somebody who’s away: it goes to whoever covers for them, and you’re told.'],
    practise: 'by hand',
  },
  {
    verb: 'cover',
    title: 'Cover',
    does: 'records who’s away or will be, who covers, from when until when; or that they’re back',
    example: '/artline cover @name by @name from 02:00 until 06:00',
    why: 'A reminder sent to somebody at lunch is a reminder lost.',
    when: 'Before you leave the ward, however briefly; or ahead of time, for tonight or tomorrow.',
    thumb:
      '*Somebody is away…* in the menu; *Back now* ends it early, *Take back* cancels it before it starts.',
    after:
      'Until then their messages go to whoever covers, on-call ones too, and every message says who it’s for. If you set it ahead of time, the ward is told again when it starts.',
    wrong: [
      'Back early and you didn’t say: your reminders still go to somebody else.',
      'Two covers for the same person: once the later one starts, it’s the one that counts.',
    ],
    practise: 'by hand',
  },
  {
    verb: 'oncall',
    title: 'On call',
    does: 'puts somebody on call now, or shows who’s on call now and next shift',
    example: '/artline oncall @name',
    why: 'Late care and bad findings go to this person by direct message. With nobody on call they go to the channel and wait there.',
    when: 'Whenever the clinician changes outside the ward’s rota.',
    thumb: '*Put somebody on call…* in the menu, or *Change who is on call…* if somebody already is.',
    after:
      'The channel is told who it is, and so is whoever’s relieved. The rota takes over again at the next shift.',
    wrong: [
      'Somebody who’s asleep with their phone off: ask them first.',
      'Called for a danger and can’t come: *I can’t come* in the message tells the backup and the ward at once.',
    ],
    practise: 'by hand',
  },
  {
    verb: 'targets',
    title: 'Targets',
    does: 'sets one patient’s pressure targets, in place of the ward’s limits, until a set time',
    example: '/artline targets Biscuit map 60-80 until 06:00 reason head injury',
    why: 'The ward’s limits are for any patient. A head injury needs higher pressures, uncontrolled bleeding may need lower ones; without targets one is caught too late and the other calls all night.',
    when: 'When a clinician decides: whoever’s on call, or a clinician named in the ward policy. It asks for a reason and an end time, at most 72 h ahead.',
    thumb: 'Open the line and press *Targets…*. End them early there too, or by typing `end` after the name.',
    after:
      'A reading beyond a target goes to the clinician on call at once. The card, due list and handover show the targets and when they end; then the ward’s limits apply again.',
    wrong: [
      'A low target below the ward’s own switches off the ward’s other low limits for that time: the answer names them.',
      'Ends in the night and nobody renews it: it’s in the handover, but nobody is called.',
    ],
    practise: {
      no: 'a clinician decides it for a real patient. Open the real form and have a look: nothing is set until you send it.',
    },
  },
  {
    verb: 'setup',
    title: 'Set the ward up',
    does: 'opens one form for a new ward: its clock, shifts, who’s on call, the backup, and what wakes the clinician at night',
    example: '/artline setup',
    why: 'Reminders go by the ward’s own clock and shifts, and danger needs somebody to call.',
    when: 'Once, as soon as I’m in the channel. Everything is filled in with what’s usual: if it fits, press *Save*.',
    thumb:
      '*Set this ward up…* in my first message in the channel, or at the top of the menu until somebody has.',
    after: 'My first message says what was set, and by whom.',
    wrong: [
      'The wrong time zone: every handover then comes at the wrong hour. Compare the time in the form with the clock on the wall.',
      'Nobody on call: danger then wakes nobody, and the channel is told so each time.',
    ],
    practise: {
      no: 'it sets the whole ward. Open the real form and have a look: nothing is set until you press Save.',
    },
  },
  {
    verb: 'policy',
    title: 'Ward policy',
    does: 'shows and changes what this ward has agreed: intervals, limits, shifts, rota',
    example: '/artline policy',
    why: 'Sources differ and so do wards. The bot goes by what your ward has agreed, and shows who set it and when.',
    when: 'When the whole ward has agreed a change; never for one patient.',
    thumb:
      '*Ward policy…* in the menu. Two things can be typed: how urgent a duty is (`/artline policy zero danger`, or `care`), and what to do when a finding comes back (`/artline policy again cold: take it out`, or `again cold: usual`).',
    after: 'It applies to every line at once, and the channel is told who changed what.',
    wrong: ['A longer interval silences reminders for every line on the ward, tonight’s included.'],
    caution: 'The defaults are common practice; most have no published source.',
    practise: {
      no: 'it changes the whole ward. Open the real form and have a look: nothing changes until you send it, and it won’t accept what can’t be right.',
    },
  },
  {
    verb: 'audit',
    title: 'Audit',
    does: 'counts what the ward’s lines cost and gained, over 90 days unless you say otherwise; the report comes to you by direct message, and each month’s comes by itself',
    example: '/artline audit 6 months',
    why: 'How long lines last, how often they do harm, and whether care is on time: you only see it over many lines.',
    when: 'Every month, and before the ward changes its policy.',
    thumb: '*Audit…* in the menu.',
    after: 'It includes your own learning curve, which only you and the ward lead can see.',
    wrong: [
      'A few lines prove nothing: it says where the numbers are too small to mean anything.',
      'What wasn’t recorded isn’t counted.',
    ],
    practise: { no: 'it only counts and changes nothing. Ask for the real one.' },
  },
  {
    verb: 'export',
    title: 'Export the record',
    does: 'sends you everything recorded on this ward as one file, by direct message',
    example: '/artline export csv',
    why: 'The record belongs to the ward, so you can take it out: to analyse, to keep, or to load into another system.',
    when: 'For your own analysis, before you move or retire the bot, or when another hospital asks.',
    thumb:
      '*Export the record…* in the menu: CSV for a spreadsheet, NDJSON to restore from, FHIR R4 for another system.',
    wrong: [
      'It holds patient data: keep it as your hospital requires.',
      'In the spreadsheet a reading loses its doubts; the FHIR file keeps them.',
    ],
    practise: { no: 'it only reads and changes nothing. Ask for the real one.' },
  },
  {
    verb: 'amend',
    title: 'Put something right',
    does: 'puts a wrong entry right; the original stays in the record',
    example: '/artline amend Biscuit',
    why: 'Everything is worked out from what’s recorded. One wrong entry makes every later reminder wrong.',
    when: 'As soon as you see it. A removal recorded by mistake can be undone for a day.',
    thumb:
      'Press *Put something right…* in the answer and change what’s wrong. For an older entry open the line, press *Put something right…* and choose it from the list.',
    after:
      'Everything that follows from it is worked out again. Nothing is deleted: both versions stay, with who entered them.',
    wrong: [
      'A second entry instead of a correction: then both count.',

      'A line that never was: *Take back* in the answer, or type “registered in error” after amend and the name. One that was in and came out is removed instead, so that its limb is looked after.',
    ],
    practise: 'by hand',
  },
  {
    verb: 'help',
    title: 'Help',
    does: 'lists the commands, teaches each one, and lets you practise on an invented patient',
    example: '/artline help flush',
    why: 'What you’ve tried once on an invented patient comes easily at night with a real one.',
    when: 'Before your first shift with it, and after time off.',
    thumb: '*Help* in the menu, *Learn* beside each command, *Practise this* on its page.',
    wrong: ['Practice is marked on every page and records nothing: real care still has to be recorded.'],
    practise: { no: 'you’re in it.' },
  },
];
