/** More than anybody reads at once. */
const mostProblems = 4;

/** The first few different problems, and how many more there were: an answer stays short whatever was typed. */
export function fewProblems(problems: readonly string[]): string[] {
  const different = [...new Set(problems)];
  if (different.length <= mostProblems) return different;
  return [...different.slice(0, mostProblems), `And ${different.length - mostProblems} more like these.`];
}
