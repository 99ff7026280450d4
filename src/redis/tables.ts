/** A list of like things with each name once: columns, named behind what they hold, then a row of values for each thing. */
interface Table {
  columns: string[];
  rows: unknown[][];
}

/** Whole numbers, each as the step from the row before; texts, 0 where it is the row before's; or values as they are. */
type Holds = '+' | '~' | '=';

/** Fewer things than this are as short as they stand. */
const fewest = 2;

/**
 * A list of things that all have the same names in the same order, written short. Any other list comes back as it is, so `untabled`
 * gives back what was given, whatever it was.
 */
export function tabled(list: readonly unknown[]): unknown {
  const names = namesOf(list);
  if (names === null) return list;
  const things = list as readonly Record<string, unknown>[];
  const columns = names.map((name) => `${holds(things.map((thing) => thing[name]))}${name}`);
  const rows = things.map((thing, row) =>
    names.map((name, column) => {
      const [value, before] = [thing[name], things[row - 1]?.[name]];
      switch (columns[column]?.[0] as Holds) {
        case '+':
          return (value as number) - ((before as number | undefined) ?? 0);
        case '~':
          return value === before ? 0 : value;
        case '=':
          return value;
      }
    }),
  );
  return { columns, rows } satisfies Table;
}

/** The list that `tabled` was given. */
export function untabled(stored: unknown): unknown {
  if (Array.isArray(stored)) return stored;
  const { columns, rows } = stored as Table;
  const last: unknown[] = [];
  return rows.map((row) => {
    const thing: Record<string, unknown> = {};
    for (const [column, named] of columns.entries()) {
      const value = row[column];
      if (named.startsWith('+'))
        last[column] = (value as number) + ((last[column] as number | undefined) ?? 0);
      else if (!named.startsWith('~') || value !== 0) last[column] = value;
      thing[named.slice(1)] = last[column];
    }
    return thing;
  });
}

function holds(values: readonly unknown[]): Holds {
  if (values.every((value) => Number.isSafeInteger(value))) return '+';
  return values.every((value) => typeof value === 'string') ? '~' : '=';
}

/** The names that all things of a list have; null where they differ, or the list is short. */
function namesOf(list: readonly unknown[]): string[] | null {
  if (list.length < fewest) return null;
  const known = JSON.stringify(Object.keys(list[0] ?? {}));
  const isLike = (one: unknown) =>
    typeof one === 'object' &&
    one !== null &&
    !Array.isArray(one) &&
    JSON.stringify(Object.keys(one)) === known &&
    // What JSON leaves out would be a hole in its row.
    !Object.values(one).includes(undefined);
  return list.every(isLike) ? (JSON.parse(known) as string[]) : null;
}
