/** The text of a file of this repository; null where no file of that name is there. */
export type ReadFile = (file: string) => string | null;

const cellNames = ['number', 'hazard', 'harm', 'control', 'test'];
/** A file of tests in backticks, and what is written after it up to the next backtick. */
const namedTest = /`(tests\/[^`]*)`([^`]*)/g;

const literal = (text: string) => text.replaceAll(/[$()*+.?[\\\]^{|}]/g, String.raw`\$&`);

/** Whether a file has a test or a group of tests of this title that is run. */
function hasTitle(source: string, title: string): boolean {
  return new RegExp(String.raw`(?<!\.(?:skip|todo))\(\s*(['"\x60])${literal(title)}\1\s*,`).test(source);
}

function faultsOfTest(file: string, after: string, read: ReadFile): string[] {
  const source = read(file);
  if (source === null) return [`names ${file}, which is no file`];
  if (!/\bexpect\(/.test(source)) return [`names ${file}, which expects nothing`];
  const titles = [...after.matchAll(/"([^"]*)"/g)].map(([, title = '']) => title);
  return titles
    .filter((title) => !hasTitle(source, title))
    .map((title) => `names “${title}”, which is no test of ${file}`);
}

/**
 * What is wrong with the table of a hazard log: a row that lacks a cell, whose number is taken, or whose control nothing
 * proves: it names no file of tests, one that is not there, or a title that no test of that file has.
 */
export function hazardLogFaults(page: string, read: ReadFile): string[] {
  const rows = page.split('\n').filter((line) => /^\|\s*\d/.test(line));
  const taken = new Set<string>();
  return rows.flatMap((line) => {
    // A row begins and ends with a bar; within a cell one would shift the words into the next.
    const cells = line
      .split('|')
      .slice(1)
      .map((cell) => cell.trim());
    const [number = '', , , , shownBy = ''] = cells;
    if (cells.length !== 6 || cells.at(-1) !== '')
      return [`row ${number}: has not just the five cells ${cellNames.join(', ')}`];
    const tests = [...shownBy.matchAll(namedTest)];
    const faults = [
      ...cellNames.filter((_, index) => cells[index] === '').map((name) => `has no ${name}`),
      ...(taken.has(number) ? ['has a number that another row has'] : []),
      ...(shownBy !== '' && tests.length === 0 ? ['names no file of tests'] : []),
      ...tests.flatMap(([, file = '', after = '']) => faultsOfTest(file, after, read)),
    ];
    taken.add(number);
    return faults.map((fault) => `row ${number}: ${fault}`);
  });
}
