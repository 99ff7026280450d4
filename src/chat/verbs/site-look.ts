import type { SiteFinding } from '../../domain/record/entry.ts';
import { choiceIn, findingIn, findingOptions } from './field-values.ts';
import type { Field, FieldProblem, Values } from './verb.ts';

const unsaid =
  'Did you look at the site and below it? Choose nothing amiss or not looked at, or tick what you saw.';

/** Whether the site was looked at. Never taken from a list left empty: nothing amiss and not looked are both answers. */
export const siteField: Field = {
  kind: 'choice',
  id: 'site',
  label: 'Site and the part below it',
  hint: 'Or just tick what you saw below.',
  asked: { unless: 'findings', message: unsaid },
  options: [
    {
      value: 'nothing amiss',
      label: 'Looked: nothing amiss',
      words: ['site clean', 'site fine', 'site ok', 'site unremarkable', 'no findings'],
    },
    { value: 'something amiss', label: 'Looked: ticked below' },
    {
      value: 'site not looked at',
      label: 'Not looked at',
      words: ['site not seen', 'not looked at', 'not looked'],
    },
  ],
};

/** The same where the words speak of nothing but the site: "fine" can mean only that. */
export const siteAloneField: Field = {
  ...siteField,
  options: siteField.options.map((option) =>
    option.value === 'nothing amiss'
      ? {
          ...option,
          words: [
            ...(option.words ?? []),
            'nothing',
            'none',
            'fine',
            'ok',
            'okay',
            'clean',
            'unremarkable',
            'all fine',
            'all good',
            'all ok',
          ],
        }
      : option,
  ),
};

/** What may be seen, to tick; `soiled` asks for a new dressing, where there is one to change. */
export function findingsField({ soiled = false } = {}): Field {
  return {
    kind: 'several',
    id: 'findings',
    label: 'What you saw at the site and below it',
    options: findingOptions.filter(({ value }) => soiled || value !== 'soiled'),
  };
}

/** What was seen; `not looked at`; null where neither was said; or what contradicts itself. */
export function siteLook(
  values: Values,
): { finding: SiteFinding } | 'not looked at' | { problem: FieldProblem } | null {
  const finding = findingIn(values, 'findings');
  const isFound = Object.keys(finding).length > 0;
  switch (choiceIn(values, 'site', ['nothing amiss', 'something amiss', 'site not looked at'])) {
    case 'nothing amiss':
      return isFound ? { problem: bothGiven } : { finding };
    case 'site not looked at':
      return isFound ? { problem: bothGiven } : 'not looked at';
    case 'something amiss':
      return isFound ? { finding } : { problem: { field: 'findings', message: 'Tick what you saw.' } };
    case undefined:
      return isFound ? { finding } : null;
  }
}

const bothGiven: FieldProblem = {
  field: 'site',
  message: 'You’ve ticked a finding too. Choose “Looked: ticked below”, or untick it.',
};

/** Said to words that don’t tell whether anybody looked. */
export const lookUnsaid: FieldProblem = { field: 'site', message: unsaid };
