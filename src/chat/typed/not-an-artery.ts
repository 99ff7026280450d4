import { foldPhrase, phraseAt } from './fold-words.ts';

/** Veins that catheters go into, and words for venous lines. */
const veins = [
  'cephalic',
  'accessory cephalic',
  'saphenous',
  'lateral saphenous',
  'medial saphenous',
  'lat saphenous',
  'med saphenous',
  'saph',
  'lat saph',
  'med saph',
  'jugular',
  'external jugular',
  'ext jugular',
  'jug',
  'ejv',
  'marginal ear',
  'lateral ear',
  'basilic',
  'cutaneous ulnar',
  'medial metatarsal',
  'lateral thoracic',
  'vena cava',
  'cranial vena cava',
  'central line',
  'central venous',
  'central venous catheter',
  'cvc',
  'picc',
  'iv',
  'iv catheter',
  'ivc',
];

/** Arteries that a line can be in and that cannot be registered yet. */
const notKept = [
  'carotid',
  'common carotid',
  'digital',
  'palmar digital',
  'plantar digital',
  'metacarpal',
  'palmar metacarpal',
  'dorsal metacarpal',
  'plantar metatarsal',
  'ulnar',
  'axillary',
  'subclavian',
  'popliteal',
  'umbilical',
  'maxillary',
  'superficial temporal',
  'temporal',
  'plantar',
  'medial plantar',
  'caudal tibial',
  'tibial',
  'deep brachial',
  'deep femoral',
  'iliac',
  'aorta',
  'aortic',
];

const phrases = [
  ...veins.map((text) => ({ text, phrase: foldPhrase(text), isVein: true })),
  ...notKept.map((text) => ({ text, phrase: foldPhrase(text), isVein: false })),
].sort((one, other) => other.phrase.length - one.phrase.length);

/** Arteries whose name with `vein` after it is that of a vein. */
const alsoVeins = [
  'femoral',
  'radial',
  'brachial',
  'ear',
  'auricular',
  'lingual',
  'facial',
  'tail',
  'coccygeal',
  'caudal',
];

/**
 * A vein, or an artery that cannot be registered yet, named from word `start` on: how many words name it, and what to say.
 * Neither is ever taken for an artery that can be.
 */
export function notAnArteryAt(
  folded: readonly string[],
  start: number,
): { used: number; problem: string } | null {
  if (alsoVeins.includes(folded[start] ?? '') && folded[start + 1] === 'vein')
    return { used: 2, problem: veinProblem(`${folded[start]} vein`) };
  for (const { text, phrase, isVein } of phrases) {
    const used = phraseAt(folded, start, phrase);
    if (used === 0) continue;
    const after = folded[start + used];
    const inAll = after === 'vein' || after === 'artery' ? used + 1 : used;
    if (after === 'vein' || (isVein && after !== 'artery'))
      return { used: inAll, problem: veinProblem(text) };
    const named = isVein ? `${text} artery` : text;
    return {
      used: inAll,
      problem: `“${named}”: a line in that artery can’t be registered yet. Don’t choose another artery for it; keep its care on paper.`,
    };
  }
  return null;
}

function veinProblem(text: string): string {
  return `I didn’t understand “${text}”: that’s a vein. Choose the artery.`;
}
