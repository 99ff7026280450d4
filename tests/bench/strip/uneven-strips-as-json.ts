// Writes the made strips of uneven beats as JSON, for peaks-by-scipy.py to read.
import { madeStrip } from '../../support/strips/made-strip.ts';
import { unevenStrips } from '../../support/strips/uneven-strips.ts';

const strips = Object.entries(unevenStrips).map(([name, options]) => {
  const { samplesPerS, pressuresMmHg } = madeStrip(options).strip;
  return [name, { samplesPerS, pressuresMmHg: Array.from(pressuresMmHg) }];
});
process.stdout.write(JSON.stringify(Object.fromEntries(strips)));
