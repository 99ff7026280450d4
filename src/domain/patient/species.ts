/** Animals the ward cares for. Duties differ only for the cat, whose dwell is limited. */
export const speciesList = ['dog', 'cat', 'other'] as const;
export type Species = (typeof speciesList)[number];
