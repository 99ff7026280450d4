import type { Responsible } from '../../domain/ward/on-call.ts';
import type { Names } from '../names.ts';

/** `Teo Marchetti`, or `Teo Marchetti for Ina Brandvold` where one covers for the other: who is told. */
export async function whoWords(who: Responsible, names: Names): Promise<string> {
  return (await names.of(who.user)) + (await forWhomWords(who, names));
}

/** ` for Ina Brandvold`, to stand after the name of whoever covers for her; nothing where nobody is away. */
export async function forWhomWords({ insteadOf }: Responsible, names: Names): Promise<string> {
  return insteadOf === null ? '' : ` for ${await names.of(insteadOf)}`;
}
