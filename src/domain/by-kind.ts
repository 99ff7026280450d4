/** A function for each member of a union, by its tag; the compiler asks for one that is missing. */
export type ByTag<
  Tag extends string,
  One extends Record<Tag, string>,
  More extends readonly unknown[],
  Result,
> = {
  readonly [K in One[Tag]]: (one: One & Record<Tag, K>, ...more: More) => Result;
};

/** A function for each kind of entry of a union. */
export type ByKind<One extends { kind: string }, More extends readonly unknown[], Result> = ByTag<
  'kind',
  One,
  More,
  Result
>;

/** What the function for its tag makes of `one`. */
export function byTag<
  Tag extends string,
  One extends Record<Tag, string>,
  More extends readonly unknown[],
  Result,
>(tag: Tag, table: ByTag<Tag, One, More, Result>, one: One, ...more: More): Result {
  // The compiler can't see that a tag and its function belong together.
  const make = table[one[tag]] as (one: One, ...more: More) => Result;
  return make(one, ...more);
}

/** What the function for its kind makes of `one`. */
export function byKind<One extends { kind: string }, More extends readonly unknown[], Result>(
  table: ByKind<One, More, Result>,
  one: One,
  ...more: More
): Result {
  return byTag('kind', table, one, ...more);
}
