import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { simulatedStrip } from '../support/simulated-strip.ts';

const folder = mkdtempSync(path.join(os.tmpdir(), 'dicrotic-strip-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function written(name: string, text: string): string {
  const file = path.join(folder, name);
  writeFileSync(file, text);
  return file;
}

const { strip } = simulatedStrip({
  ratePerMin: 90,
  line: { naturalHz: 24, damping: 0.5 },
  flush: { atS: 12.3, lengthS: 1, bagMmHg: 290 },
});
const rows = Array.from(strip.pressuresMmHg, (p, i) => `${i / 250},${p.toFixed(1)}`).join('\n');
const good = written('good.csv', `time_s,abp_mmHg\n${rows}\n`);

function run(...words: string[]) {
  const { status, stdout, stderr } = spawnSync(process.execPath, ['src/programs/strip/main.ts', ...words], {
    encoding: 'utf8',
  });
  return { status, stdout, stderr };
}

describe('npm run strip', () => {
  it('prints the findings of a CSV file with their units', () => {
    const { status, stdout } = run(good);
    expect(status).toBe(0);
    expect(stdout).toMatch(
      /^abp over 30 s: 12\d\/7\d mmHg, mean 9\d mmHg, 9\d beats per minute, regular; the line looks normal/,
    );
    expect(stdout).toMatch(/\nFast flush at 13\.3 s, from 290 mmHg: period \d+ ms \(\d\d\.\d Hz\)/);
    expect(stdout).toContain('ward policy, approximate');
    expect(stdout).toContain('look at the animal');
  });

  it('prints them as JSON with --json', () => {
    const found: unknown = JSON.parse(run(good, '--json').stdout);
    expect(found).toMatchObject({
      samplesPerS: 250,
      lengthS: 30,
      verdict: 'normal',
      confidence: 'fairly sure',
      faults: [],
      flushes: [{ region: { region: 'good', says: expect.stringMatching(/^The damping is good/) } }],
      because: expect.stringMatching(/^The line rings at/),
      sentence: expect.stringContaining('mmHg'),
    });
  });

  it('reads a WFDB record by its header, with the data beside it', () => {
    const { status, stdout } = run('tests/fixtures/strip/made-212.hea');
    expect(status).toBe(0);
    // Five beats: read, and told as unsure.
    expect(stdout).toMatch(/^ABP over 4 s, unsure \(too few beats\): about 120\/75 mmHg, mean 91 mmHg/);
  });

  it('says what is missing where a file is refused, and ends with 1', () => {
    expect(run(written('bare.csv', rows))).toEqual({
      status: 1,
      stdout: '',
      stderr:
        'The file does not say what its columns are. Put a heading line first that names each column with its unit, such as time_s,abp_mmHg.\n',
    });
    expect(run(written('alone.hea', 'r 1 125 300\nr.dat 16 10/mmHg 12 0 1 1 0 ABP\n'))).toMatchObject({
      status: 1,
      stderr: 'The data file r.dat is missing. Upload it together with the .hea file.\n',
    });
  });

  it('reads no file outside the header’s own folder', () => {
    expect(
      run(written('out.hea', 'r 1 125 300\n../../etc/passwd 16 10/mmHg 12 0 1 1 0 ABP\n')).stderr,
    ).toContain('is missing');
  });

  it('asks for a channel where there are two, and takes it from --channel', () => {
    const two = written('two.csv', `time_s,ART1_mmHg,ART2_mmHg\n${rows.replaceAll(/,(.*)/g, ',$1,$1')}\n`);
    expect(run(two)).toMatchObject({ status: 1, stderr: expect.stringContaining('Add --channel NAME.') });
    expect(run(two, '--channel', 'ART2')).toMatchObject({
      status: 0,
      stdout: expect.stringMatching(/^ART2 over/),
    });
  });

  it('writes the picture with --picture, and has its words in the JSON', () => {
    const file = path.join(folder, 'good.png');
    const { status, stdout } = run(good, '--json', '--picture', file);
    expect(status).toBe(0);
    expect([...readFileSync(file).subarray(1, 4)].map((b) => String.fromCharCode(b)).join('')).toBe('PNG');
    expect(JSON.parse(stdout)).toMatchObject({
      altText: expect.stringContaining('Picture of an arterial pressure strip'),
    });
    expect(run(good, '--picture', path.join(folder, 'nowhere', 'a.png'))).toMatchObject({
      status: 2,
      stderr: expect.stringContaining('cannot be written'),
    });
  });

  it.each([[[]], [['a.csv', 'b.csv']], [['--loud', 'a.csv']], [['/nowhere/a.csv']]])(
    'says how it is used at %j and ends with 2',
    (words) => {
      expect(run(...words)).toMatchObject({
        status: 2,
        stderr: expect.stringContaining('npm run strip -- FILE'),
      });
    },
  );
});
