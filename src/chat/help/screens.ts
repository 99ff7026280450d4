import type { InventedKind } from '../../app/rehearsal/invented-line.ts';
import { commandVerbs } from '../typed/parse-command.ts';
import { lineVerb } from '../verbs/line-verbs.ts';
import { bedsideScreens } from './bedside-screens.ts';
import type { Screen } from './screen.ts';
import { wardScreens } from './ward-screens.ts';

const all = new Map<string, Screen>([
  ...wardScreens.map((screen) => [screen.verb, screen] as const),
  ...bedsideScreens.flatMap((screen) => {
    const spec = lineVerb(screen.verb);
    return spec ? [[screen.verb, { ...screen, does: spec.does, example: spec.example }] as const] : [];
  }),
]);

/** A verb's own screen; undefined of what is no verb of the command. */
export function screenOf(verb: string): Screen | undefined {
  return commandVerbs.includes(verb) ? all.get(verb) : undefined;
}

/** How the invented line stands when this verb is practised; undefined where it is not. */
export function practiceOf(verb: string): InventedKind | undefined {
  const practise = screenOf(verb)?.practise;
  return typeof practise === 'string' ? practise : undefined;
}

/** The verbs as a ward thinks of them, each in one group; those that the command does not have are left out. */
export const screenGroups: readonly { title: string; screens: readonly Screen[] }[] = [
  { title: 'Before and placing', verbs: ['risks', 'place', 'attempt'] },
  { title: 'True: can the number be believed', verbs: ['zero', 'level', 'test', 'reading', 'targets'] },
  { title: 'Open: does it flow', verbs: ['flush', 'source'] },
  { title: 'Clean and safe', verbs: ['redress', 'check', 'moved', 'transducer'] },
  { title: 'Samples', verbs: ['sample'] },
  { title: 'Something is wrong', verbs: ['fault'] },
  { title: 'Out, and after', verbs: ['remove', 'pulse'] },
  {
    title: 'The ward',
    verbs: [
      'mine',
      'due',
      'round',
      'handover',
      'assign',
      'oncall',
      'cover',
      'setup',
      'policy',
      'audit',
      'export',
    ],
  },
  { title: 'Put right, and learn', verbs: ['amend', 'help'] },
].map(({ title, verbs }) => ({ title, screens: verbs.flatMap((verb) => screenOf(verb) ?? []) }));
