import { type Species } from '../../domain/patient/species.ts';
import { fewestOwnLines, ownMonths, type Risk } from '../../domain/risks/owner-risks.ts';
import type { Publication, RiskKind } from '../../domain/risks/published-series.ts';
import type { Interval } from '../../domain/statistics/interval.ts';
import { speciesPlurals } from '../care/animal-names.ts';
import { whoDecides } from '../care/line-words.ts';

/** A point of the page: what it is, and what is said of it. */
export interface OwnerPoint {
  what: string;
  said: string;
}

/** A part of the page: its title, then a text, points, or both. */
export interface OwnerSection {
  title: string;
  text?: string;
  points?: readonly OwnerPoint[];
}

/** What is read to an owner or handed over on paper: plain text, in the order to be read. */
export interface OwnerWords {
  title: string;
  sections: OwnerSection[];
}

/** Figures of a species with the day up to which the ward's lines were counted, in words; null where they could not be. */
export interface OwnerFigures {
  species: Species;
  risks: readonly Risk[];
  countedTo: string | null;
}

/** Each series as it is named; `animals`: which, where they are not those of the species asked for alone. */
const series: Readonly<Record<Publication['doi'], { cite: string; animals?: string }>> = {
  '10.1111/vec.12543': {
    cite: 'Trim et al., J Vet Emerg Crit Care 2017;27:89–95',
    animals: '251 dogs and 13 cats, after an anaesthetic',
  },
  '10.1111/vec.13084': { cite: 'Hagley et al., J Vet Emerg Crit Care 2021;31:469–475' },
  '10.1177/1098612X18767570': { cite: 'Mooshian et al., J Feline Med Surg 2019;21:173–177' },
  '10.1177/1098612X241257857': { cite: 'J Feline Med Surg 2024' },
};

/** Harm that lasts is known of single animals only, so no share of it can be given. */
const singleCases: Readonly<Partial<Record<Species, { what: string; cite: string }>>> = {
  dog: { what: 'a tail wound in a dog', cite: 'Letter, Vet Anaesth Analg 2022' },
  cat: {
    what: 'part of a cat’s leg died',
    cite: 'Bowlt et al., J Feline Med Surg 2013;15:1165–1168',
  },
};

/** How often, as people say it: `about 1 in 5`, above three in ten `about 7 in 10`; beyond 1 in 20 to the nearest five. */
export function oftenWords(share: number): string {
  if (share > 0.95) return 'nearly always';
  if (share > 0.3) return `about ${Math.round(10 * share)} in 10`;
  const one = Math.round(1 / share);
  return `about 1 in ${one > 20 ? 5 * Math.round(one / 5) : one}`;
}

/** The ends of an interval, of every hundred: `between 14 and 25 in 100`; where it begins below a half, `up to 13 in 100`. */
export function betweenWords({ lower, upper }: Interval): string {
  const low = Math.round(100 * lower);
  const high = Math.round(100 * upper);
  return low === 0 ? `up to ${high} in 100` : `between ${low} and ${high} in 100`;
}

const came = 'It had to be taken out because of a problem';
const pulse = 'No pulse felt below it the next day';

/** What each figure is of: the ward's own counts every kind of complication that it records, a series what it calls minor. */
const what: Readonly<Record<RiskKind, { own: string; published: string }>> = {
  'placed at the first try': { own: 'Placing it', published: 'Placing it' },
  'placed at all': { own: 'Placing it', published: 'Placing it' },
  problem: {
    own: 'A problem with the line (blocked, slipped out, bleeding, swelling, infection, a cold leg or no pulse)',
    // In Mooshian et al. occlusion, haematoma, bleeding at the puncture and loss of pulse are minor.
    published: 'A minor problem, such as a blocked line or a bruise',
  },
  'removed for a problem': { own: came, published: came },
  'no pulse next day': { own: pulse, published: pulse },
  'serious harm': { own: 'Serious harm', published: 'Serious harm, such as an infection' },
};

/** `about 1 in 5 lines (38 of 198; between 14 and 25 in 100)`; of none, that there was none so far. */
function shareWords({ kind, share: { count, total, share, score } }: Risk): string {
  if (share === null || score === null) throw new RangeError(`a share of no line was to be stated: ${kind}`);
  const counts = `(${count} of ${total}; ${betweenWords(score)})`;
  if (kind === 'placed at the first try')
    return count === 0
      ? `the first try has not worked yet ${counts}`
      : `the first try works ${oftenWords(share)} times ${counts}`;
  if (kind === 'placed at all') return `in one trial it worked in ${oftenWords(share)} legs ${counts}`;
  return `${count === 0 ? 'none so far' : `${oftenWords(share)} lines`} ${counts}`;
}

/** What may happen to any line, of which there is no number. */
const withoutNumbers = {
  placing: { what: 'Placing it', said: 'it may take several tries, and sometimes it can’t be done.' },
  problem: { what: 'A problem with the line', said: 'it may block, slip out, bleed, swell or get infected.' },
  pulse: { what: 'No pulse below it', said: 'for a time, or for good.' },
} as const;

const isOfPlacing = ({ kind }: Risk) => kind === 'placed at all' || kind === 'placed at the first try';

/** Each source by its mark, in the order it is first spoken of. */
class Sources {
  private readonly all: string[] = [];

  mark(words: string): string {
    if (!this.all.includes(words)) this.all.push(words);
    return `[${this.all.indexOf(words) + 1}]`;
  }

  points(): OwnerPoint[] {
    return this.all.map((said, index) => ({ what: `[${index + 1}]`, said }));
  }
}

function sourceOf({ from }: Risk, { species, countedTo }: OwnerFigures): string {
  if (from === 'ward')
    return `This ward’s own lines in ${speciesPlurals[species]}, ${ownMonths / 12} years up to ${countedTo}.`;
  const { cite, animals } = series[from.doi];
  return `${cite}, doi:${from.doi}${animals ? `: ${animals}` : ''}.`;
}

/** Why not all figures are the ward's own; empty where they are. */
function whyPublished({ risks, countedTo }: OwnerFigures): string | undefined {
  const own = risks.filter(({ from }) => from === 'ward').length;
  if (countedTo === null)
    return 'These are other hospitals’ figures: this ward’s own lines couldn’t be counted just now.';
  if (own === 0)
    return `These are other hospitals’ figures: this ward has too few lines of its own to count (under ${fewestOwnLines}).`;
  return own < risks.length
    ? `Where this ward has too few lines of its own (under ${fewestOwnLines}), they are other hospitals’ figures.`
    : undefined;
}

/** The page for an owner: about half of an A4 page; where there is no figure, what may happen and why none is given. */
export function ownerWords(figures: OwnerFigures): OwnerWords {
  const { species, risks } = figures;
  const sources = new Sources();
  const points = risks
    .toSorted((a, b) => Number(isOfPlacing(b)) - Number(isOfPlacing(a)))
    .map((risk) => pointOf(risk, sources.mark(sourceOf(risk, figures))));
  const lasting = lastingPoint(species, sources);
  const why = whyPublished(figures);
  const isNumbered = risks.length > 0;
  return {
    title: `An arterial line for your ${called(species)}`,
    sections: [
      purposeOf(species),
      {
        title: 'What may happen',
        points: [
          ...(risks.some(isOfPlacing) ? [] : [withoutNumbers.placing]),
          ...(isNumbered ? points : [withoutNumbers.problem, withoutNumbers.pulse]),
          lasting,
        ],
        text: isNumbered ? '“Between” shows where the true figure most likely lies.' : noneWords(figures),
      },
      ...(isNumbered
        ? [{ title: 'Where the figures come from', ...(why ? { text: why } : {}), points: sources.points() }]
        : []),
      {
        title: 'Who to ask',
        text: `Ask the vet who is treating your ${called(species)} what this means in your ${called(species)}’s case. This page gives no advice. ${whoDecides}`,
      },
    ],
  };
}

/** What one animal of the species is called in a sentence to its owner. */
function called(species: Species): string {
  return species === 'other' || species === 'cattle' ? 'animal' : species;
}

const isSmall = (species: Species) => species === 'dog' || species === 'cat';

function purposeOf(species: Species): OwnerSection {
  const where = isSmall(species) ? 'a paw or the tail' : 'a leg, the face or an ear';
  return {
    title: 'What it is for',
    text: `An arterial line is a thin plastic tube in an artery, usually in ${where}. It shows the blood pressure at every heartbeat, and blood can be taken from it without another needle. It helps when blood pressure may change within minutes.`,
  };
}

function pointOf(risk: Risk, mark: string): OwnerPoint {
  const { own, published } = what[risk.kind];
  const isOwn = risk.from === 'ward';
  const left = risk.notReported > 0 ? ` Not recorded in ${risk.notReported} more.` : '';
  // Trim et al.: no complications were noted in the medical records.
  const unharmed = risk.kind === 'no pulse next day' && !isOwn ? ' No harm from it was noted.' : '';
  return { what: isOwn ? own : published, said: `${shareWords(risk)}.${left}${unharmed} ${mark}` };
}

function lastingPoint(species: Species, sources: Sources): OwnerPoint {
  const single = singleCases[species];
  if (!single)
    return {
      what: 'Lasting harm to the part below it',
      said: 'reported in single dogs and cats; how often isn’t known.',
    };
  return {
    what: 'Lasting harm to a leg or the tail',
    said: `reported in single animals (${single.what}); how often isn’t known. ${sources.mark(`${single.cite}.`)}`,
  };
}

/** Why no figure is given. */
function noneWords({ species, countedTo }: OwnerFigures): string {
  const known = 'How often? We know of no published figures except for dogs and cats, and';
  if (species === 'other')
    return `${known} this ward’s other animals are of too many kinds to be counted together.`;
  return countedTo === null
    ? `${known} this ward’s own lines couldn’t be counted just now.`
    : `${known} this ward has too few lines of its own in ${speciesPlurals[species]} to count (under ${fewestOwnLines}).`;
}

/** All of the page as lines of plain text: for a screen reader, and to be read out. */
export function ownerLines({ title, sections }: OwnerWords): string[] {
  return [
    title,
    ...sections.flatMap(({ title: head, text, points = [] }) => [
      head,
      ...points.map(({ what: of, said }) => `• ${of}${of.startsWith('[') ? '' : ':'} ${said}`),
      ...(text ? [text] : []),
    ]),
  ];
}
