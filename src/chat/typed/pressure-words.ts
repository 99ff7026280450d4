import { foldCase, foldWord } from './fold-words.ts';

const pair = /^(\d{1,3})\/(\d{1,3})(?:\/(\d{1,3})|\((\d{1,3})\))?(mmhg)?$/;
const bracketed = /^\((\d{1,3})\)(mmhg)?$/;

/**
 * Spells out pressures as a monitor writes them, so that each number carries its name and unit:
 * `120/80 (93) mmHg` → `sap 120 mmHg dap 80 mmHg map 93 mmHg`; after the word `cuff` they are the cuff's. Without a unit at the end `unitless`
 * is told what was typed, so that it is refused once; a slash and digits of full width count as such.
 */
export function pressuresSpeltOut(words: readonly string[], unitless: (typed: string) => void): string[] {
  const spelt: string[] = [];
  for (let index = 0; index < words.length; ) {
    const match = pair.exec(slim(words[index]));
    if (match === null) {
      spelt.push(words[index] ?? '');
      index += 1;
      continue;
    }
    const from = index;
    index += 1;
    const ofCuff = foldWord(spelt.at(-1) ?? '') === 'cuff';
    if (ofCuff) spelt.pop();
    const [, sap = '', dap = ''] = match;
    let [, , , map = match[4], , unit] = match;
    const mean = bracketed.exec(slim(words[index]));
    if (mean !== null && map === undefined) {
      map = mean[1];
      unit = mean[2];
      index += 1;
    }
    if (unit !== undefined || foldWord(words[index] ?? '') === 'mmhg') {
      if (unit === undefined) index += 1;
      unit = 'mmHg';
    } else if (meanUnitFollows(words, index)) unit = 'mmHg';
    else unitless(words.slice(from, index).map(foldCase).join(' '));
    for (const [name, value] of [
      ['sap', sap],
      ['dap', dap],
      ['map', map],
    ] as const) {
      if (value === undefined) continue;
      spelt.push(ofCuff ? `cuff${name}` : name, value, 'mmHg');
    }
  }
  return spelt;
}

/** `120/80 mean 93 mmHg`: one unit at the end stands for all three. */
function meanUnitFollows(words: readonly string[], index: number): boolean {
  const [name = '', value = '', unit = ''] = words.slice(index, index + 3).map(foldWord);
  if (name !== 'mean' && name !== 'map') return false;
  return /^\d{1,3}mmhg$/.test(value) || (/^\d{1,3}$/.test(value) && unit === 'mmhg');
}

function slim(word: string | undefined): string {
  return foldCase(word ?? '').replace(/[,;]+$/u, '');
}
