import { type StripNote, shownText } from './pressure-strip.ts';

/** A channel or column of a file. */
export interface Channel {
  name: string;
  /** Unit as the file writes it; empty where it has none. */
  unit: string;
}

/** Names of an arterial pressure wave, as monitors and recorders write them (common practice, no source). */
const arterial = /^(?:abp|art|arterial|artery|ibp|ap|ao|aop|fem|radial|p ?1)(?:\d| ?(?:bp|pressure|line))*$/i;
const arterialWithin = /\b(?:abp|art|arterial|ibp|ao)\b/i;
/** Other pressures and numbers derived from the wave: never taken for it. */
const other =
  /\b(?:cvp|pap?|icp|ra|rap|lap|paw|airway|vent|nibp|mean|map|sys|sap|dia|dap|ref)\b|venous|pulm/i;
const anyPressure = /\b(?:p[1-9]|pressure|press|bp)\b/i;

/** A label of its own for each channel, by which it is asked for: its name, its number where that is empty or told twice. */
export function channelLabels(channels: readonly Channel[]): string[] {
  const names = channels.map(({ name }, index) =>
    name.trim() === '' ? `signal ${index + 1}` : shownText(name),
  );
  return names.map((name, index) =>
    names.filter((other) => other === name).length > 1 ? `${name} (no. ${index + 1})` : name,
  );
}

/**
 * mmHg in one of the unit; null where it is no unit of pressure that is taken. The conventional centimetre of water is
 * 98.0665 Pa (NIST SP 811, appendix B.8).
 */
export function mmHgPerUnit(unit: string): number | null {
  const plain = unit.toLowerCase().replaceAll(/[\s.]/g, '').replaceAll('₂', '2');
  if (plain === 'cmh2o') return 98.0665 / 133.322_387_415;
  if (plain === 'mmhg') return 1;
  // 1 mmHg = 133.322387415 Pa by definition.
  if (plain === 'kpa') return 1000 / 133.322_387_415;
  return null;
}

/** From which unit the pressures were converted; nothing where they weren't. */
export function convertedNotes(unit: string): StripNote[] {
  return mmHgPerUnit(unit) === 1 ? [] : [{ note: 'converted', from: /kpa/i.test(unit) ? 'kPa' : 'cmH₂O' }];
}

/** Which channel holds the arterial pressure. */
export type ChannelChoice =
  | { found: 'one'; index: number }
  | { found: 'several'; indices: number[] }
  | { found: 'none' }
  /** There is no channel of the wanted name. */
  | { found: 'no such channel' };

/**
 * The arterial pressure among the channels of a file: the wanted one by name if `wanted` is given (case does not matter);
 * otherwise those named like an arterial pressure; otherwise those named like any pressure or with its unit. Central
 * venous, pulmonary and intracranial pressures and derived numbers are never taken unasked.
 */
export function chooseChannel(channels: readonly Channel[], wanted: string | null): ChannelChoice {
  const all = channels.map((_, index) => index);
  const word = (index: number) => (channels[index]?.name ?? '').replaceAll(/[_\-.]+/g, ' ').trim();
  if (wanted !== null) {
    const isWanted = (name: string) => name.toLowerCase() === wanted.trim().toLowerCase();
    const labelled = channelLabels(channels).findIndex(isWanted);
    const index = labelled >= 0 ? labelled : channels.findIndex(({ name }) => isWanted(name));
    return index < 0 ? { found: 'no such channel' } : { found: 'one', index };
  }
  const hasUnit = (index: number) => mmHgPerUnit(channels[index]?.unit ?? '') !== null;
  const fitting = all.filter((index) => !other.test(word(index)));
  const tiers = [
    fitting.filter((index) => arterial.test(word(index)) || arterialWithin.test(word(index))),
    fitting.filter((index) => anyPressure.test(word(index)) || hasUnit(index)),
  ];
  for (const tier of tiers) {
    // A name with its unit goes before the same kind of name without.
    const withUnit = tier.filter(hasUnit);
    const indices = withUnit.length > 0 ? withUnit : tier;
    const [first, ...rest] = indices;
    if (first === undefined) continue;
    return rest.length === 0 ? { found: 'one', index: first } : { found: 'several', indices };
  }
  return { found: 'none' };
}
