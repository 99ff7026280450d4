import { fieldProblems, numberIn } from './field-values.ts';
import { rateWords } from './rate-words.ts';
import type { Field, FieldProblem, LineVerb } from './verb.ts';

const pressure = { kind: 'quantity', unit: 'mmHg', min: 0, max: 400 } as const;
const fields: readonly Field[] = [
  { ...pressure, id: 'sap', label: 'Systolic (SAP)', required: true, after: ['sap', 'systolic', 'sys'] },
  { ...pressure, id: 'dap', label: 'Diastolic (DAP)', required: true, after: ['dap', 'diastolic', 'dia'] },
  { ...pressure, id: 'map', label: 'Mean (MAP)', after: ['map', 'mean'] },
  { kind: 'quantity', id: 'rate', label: 'Heart rate', unit: '/min', min: 20, max: 400, after: rateWords },
  {
    ...pressure,
    id: 'cuffSap',
    label: 'Cuff at the same time: systolic',
    after: ['cuffsap', 'cuff sap', 'cuff systolic', 'cuff'],
  },
  { ...pressure, id: 'cuffDap', label: 'Cuff: diastolic', after: ['cuffdap', 'cuff dap', 'cuff diastolic'] },
  { ...pressure, id: 'cuffMap', label: 'Cuff: mean', after: ['cuffmap', 'cuff map', 'cuff mean'] },
];

const cuffKeys = { cuffSap: 'sapMmHg', cuffDap: 'dapMmHg', cuffMap: 'mapMmHg' } as const;

/** Pressures as the monitor shows them, mmHg. */
export const reading: LineVerb = {
  verb: 'reading',
  does: 'records the pressures the monitor shows, and says how far they can be believed',
  example: '/artline reading Biscuit 120/80 mean 93 mmHg cuff 112/70 mmHg',
  bare: false,
  fields,
  drafts(values) {
    const problems: FieldProblem[] = fieldProblems(fields, values);
    const sapMmHg = numberIn(values, 'sap');
    const dapMmHg = numberIn(values, 'dap');
    const mapMmHg = numberIn(values, 'map');
    if (sapMmHg !== undefined && dapMmHg !== undefined) {
      if (dapMmHg > sapMmHg) {
        problems.push({
          field: 'dap',
          message: `Diastolic ${dapMmHg} mmHg is above systolic ${sapMmHg} mmHg. Read both again.`,
        });
      } else if (mapMmHg !== undefined && (mapMmHg > sapMmHg || mapMmHg < dapMmHg)) {
        problems.push({
          field: 'map',
          message: `Mean ${mapMmHg} mmHg must lie from diastolic ${dapMmHg} to systolic ${sapMmHg} mmHg. Read it again or leave it out.`,
        });
      }
    }
    const cuff = Object.fromEntries(
      (['cuffSap', 'cuffDap', 'cuffMap'] as const).flatMap((id) => {
        const mmHg = numberIn(values, id);
        return mmHg === undefined ? [] : [[cuffKeys[id], mmHg]];
      }),
    );
    const { cuffSap, cuffDap } = values;
    if (typeof cuffSap === 'number' && typeof cuffDap === 'number' && cuffDap > cuffSap) {
      problems.push({
        field: 'cuffDap',
        message: `The cuff’s diastolic ${cuffDap} mmHg is above its systolic ${cuffSap} mmHg. Read both again.`,
      });
    }
    const { cuffMap } = values;
    const isOutside = (mean: number) =>
      (typeof cuffSap === 'number' && mean > cuffSap) || (typeof cuffDap === 'number' && mean < cuffDap);
    if (typeof cuffMap === 'number' && isOutside(cuffMap)) {
      problems.push({
        field: 'cuffMap',
        message: `The cuff’s mean ${cuffMap} mmHg must lie between its diastolic and its systolic. Read it again or leave it out.`,
      });
    }
    const heartRatePerMin = numberIn(values, 'rate');
    if (problems.length > 0 || sapMmHg === undefined || dapMmHg === undefined) return { problems };
    return {
      drafts: [
        {
          kind: 'reading',
          body: {
            sapMmHg,
            dapMmHg,
            ...(mapMmHg === undefined ? {} : { mapMmHg }),
            ...(heartRatePerMin === undefined ? {} : { heartRatePerMin }),
            ...(Object.keys(cuff).length === 0 ? {} : { cuff }),
          },
        },
      ],
    };
  },
};
