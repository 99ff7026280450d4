/** What people write before a heart rate. */
export const rateWords: readonly string[] = ['hr', 'heart rate', 'rate', 'pulse', 'pr'];
