import { spawnSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { recordFile } from '../../src/export/record-lines.ts';
import { auditCommand } from '../../src/programs/audit/audit-command.ts';
import { restoreCommand } from '../../src/programs/restore/restore-command.ts';
import { nightWard } from '../export/ward-copies.ts';
import { bareEnv } from '../support/bare-env.ts';
import { calledCommand } from '../support/called-command.ts';

const folder = mkdtempSync(path.join(os.tmpdir(), 'dic-audit-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const { copy, now } = nightWard();

const env = { ...bareEnv, DATA_DIR: path.join(folder, 'data') };

/** Carries it out in this process. */
const audit = (...words: string[]) => calledCommand(auditCommand, words, env);

describe('npm run audit', () => {
  it('prints the audit of a stored ward and writes its pictures', async () => {
    const file = path.join(folder, 'night.ndjson');
    writeFileSync(file, recordFile(copy, now));
    expect((await calledCommand(restoreCommand, [file], env)).status).toBe(0);
    const out = path.join(folder, 'pictures');
    // As its npm script runs it.
    const { status, stdout, stderr } = spawnSync(
      process.execPath,
      ['src/programs/audit/main.ts', '--ward', copy.wardId, '--from', '2026-01-01', '--out', out],
      { encoding: 'utf8', env },
    );
    expect([status, stderr]).toEqual([0, `${out}: ${readdirSync(out).length} pictures.\n`]);
    expect(stdout).toMatch(
      /^Audit of ward T0TEST\.C0WARD, 1 Jan to .*\n\nLines\n {2}2 lines were in at some time/,
    );
    expect(stdout).toMatch(
      /It judges nobody; attending clinician, hospital protocol and local codes decide\.\n$/,
    );
    for (const name of readdirSync(out)) {
      expect(readFileSync(path.join(out, name)).subarray(1, 4).toString()).toBe('PNG');
      expect(statSync(path.join(out, name)).mode & 0o777).toBe(0o600);
    }
  });

  it('shows an invented year of 600 lines without a store', { timeout: 120_000 }, async () => {
    const { status, stdout } = await audit('--example');
    expect(status).toBe(0);
    expect(stdout).toContain('600 lines were in at some time');
    expect(stdout).toMatch(
      /Tries of U\w+, for that person and the ward lead\n {2}\d+ attempts? recorded, \d+ failed/,
    );
  });

  it.each([
    [[], /^Name a ward with --ward\. Wards here: T0TEST\.C0WARD\./, 2],
    [['--ward', 'T0.C0NONE'], /^Ward T0\.C0NONE holds nothing\. Wards here: T0TEST\.C0WARD\./, 1],
    [['--ward', copy.wardId, '--days', '0'], /^--days is 0: give whole days, 1 to 9999\./, 2],
    [['--ward', copy.wardId, '--from', '2026-02-30'], /^2026-02-30 is no day: write it as year-month-day/, 2],
    [
      ['--ward', copy.wardId, '--from', '2026-02-03', '--to', '2026-02-01'],
      /^From 2026-02-03 to 2026-02-01 is no time/,
      2,
    ],
    [['--ward', copy.wardId, '--to', '2026-02-01'], /^--to needs --from\./, 2],
    [
      ['--ward', copy.wardId, '--days', '9', '--from', '2026-02-01'],
      /^Give --days, or --from and --to, not both\./,
      2,
    ],
    [['--example', '--ward', copy.wardId], /^Give --ward or --example, not both\./, 2],
    [['--what'], /^Unknown option '--what'/, 2],
  ] as const)('says of %j what to write instead', async (words, said, code) => {
    const { status, stdout, stderr } = await audit(...words);
    expect([status, stdout]).toEqual([code, '']);
    expect(stderr).toMatch(said);
    // How to write it belongs to what was written wrongly.
    expect(stderr.includes('npm run audit -- --ward TEAM.CHANNEL')).toBe(code === 2);
  });
});
