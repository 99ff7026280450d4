import { foldWord } from './fold-words.ts';

const pair = /^(\d{1,3})\/(\d{1,3})(?:\/(\d{1,3}))?(mmhg)?$/;
const bracketed = /^\((\d{1,3})\)(mmhg)?$/;

/**
 * Spells out pressures as a monitor writes them, so that each number carries its name and unit:
 * `120/80 (93) mmHg` → `sap 120 mmHg dap 80 mmHg map 93 mmHg`; after the word `cuff` they are the cuff's. Without a unit at the end they are left without one.
 */
export function pressuresSpeltOut(words: readonly string[]): string[] {
  const spelt: string[] = [];
  for (let index = 0; index < words.length; ) {
    const match = pair.exec(slim(words[index]));
    if (match === null) {
      spelt.push(words[index] ?? '');
      index += 1;
      continue;
    }
    index += 1;
    const ofCuff = foldWord(spelt.at(-1) ?? '') === 'cuff';
    if (ofCuff) spelt.pop();
    let [, sap = '', dap = '', map, unit] = match;
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
    for (const [name, value] of [
      ['sap', sap],
      ['dap', dap],
      ['map', map],
    ] as const) {
      if (value === undefined) continue;
      spelt.push(ofCuff ? `cuff${name}` : name, value);
      if (unit !== undefined) spelt.push(unit);
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
  return (word ?? '').toLowerCase().replace(/[,;]+$/u, '');
}
