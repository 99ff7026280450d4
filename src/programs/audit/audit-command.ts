import { mkdir, writeFile } from 'node:fs/promises';
import path from 'node:path';
import { parseArgs } from 'node:util';
import { DateTime } from 'luxon';
import type { Audited } from '../../app/audits.ts';
import type { WardCopy } from '../../app/ward-copy.ts';
import { drawnAudit } from '../../audit/drawn-audit.ts';
import type { Period } from '../../domain/audit/line-course.ts';
import { type WardAudit, wardAudit } from '../../domain/audit/ward-audit.ts';
import { defaultPolicy } from '../../domain/policy/ward-policy.ts';
import { policyAtOf } from '../../domain/ward/policy-at.ts';
import { yearOfLines } from '../../invented/year-of-lines.ts';
import { createLog } from '../../observe/log.ts';
import { wardsKey } from '../../redis/keys.ts';
import { openStore } from '../../redis/open-store.ts';
import { readWardCopy } from '../../redis/ward-copies.ts';
import { auditCaution, periodText, wardSections } from '../../wording/audit/audit-text.ts';
import { curveRule, personSentences } from '../../wording/audit/person-sentences.ts';
import { type CommandCall, CommandStop } from '../command-stop.ts';
import { readConfig } from '../config.ts';

const usage =
  'npm run audit -- --ward TEAM.CHANNEL [--days 90 | --from 2026-01-01 [--to 2026-12-31]] [--out FOLDER]\n' +
  'npm run audit -- --example [--out FOLDER]\n' +
  'Prints what a ward’s lines cost and gained, with everybody’s learning curve by user id; --out writes the pictures as PNG. --to is the last day counted. --example is an invented year of 600 lines.';

/** The invented year: always the same one. */
const example = { seed: 1, lines: 600, endMs: Date.UTC(2026, 10, 1), zone: 'Europe/Berlin' } as const;

interface Wanted {
  ward: string | undefined;
  days: number | null;
  from: string | undefined;
  to: string | undefined;
  out: string | undefined;
  example: boolean;
}

function words(given: readonly string[]): Wanted {
  try {
    const { values } = parseArgs({
      args: [...given],
      options: {
        ward: { type: 'string' },
        days: { type: 'string' },
        from: { type: 'string' },
        to: { type: 'string' },
        out: { type: 'string' },
        example: { type: 'boolean', default: false },
      },
    });
    const { days, from, to, example: isExample } = values;
    if (isExample && values.ward !== undefined) throw new Error('Give --ward or --example, not both.');
    if (days !== undefined && (from !== undefined || to !== undefined))
      throw new Error('Give --days, or --from and --to, not both.');
    if (to !== undefined && from === undefined) throw new Error('--to needs --from.');
    if (days !== undefined && !/^[1-9]\d{0,3}$/.test(days))
      throw new Error(`--days is ${days}: give whole days, 1 to 9999.`);
    for (const day of [from, to])
      if (day !== undefined && !(/^\d{4}-\d{2}-\d{2}$/.test(day) && DateTime.fromISO(day).isValid))
        throw new Error(`${day} is no day: write it as year-month-day, for example 2026-09-01.`);
    return {
      ward: values.ward,
      days: days === undefined ? null : Number(days),
      from,
      to,
      out: values.out,
      example: isExample,
    };
  } catch (error) {
    throw new CommandStop(`${error instanceof Error ? error.message : String(error)}\n${usage}`, 2);
  }
}

/** The time asked for on the ward's calendar; it never ends after now. */
function periodOf({ days, from, to, example: isExample }: Wanted, nowMs: number, zone: string): Period {
  const now = DateTime.fromMillis(nowMs, { zone });
  if (from === undefined)
    return { fromMs: now.minus({ days: days ?? (isExample ? 365 : 90) }).toMillis(), toMs: nowMs };
  const fromMs = DateTime.fromISO(from, { zone }).toMillis();
  const toMs = to === undefined ? nowMs : DateTime.fromISO(to, { zone }).plus({ days: 1 }).toMillis();
  const period = { fromMs, toMs: Math.min(toMs, nowMs) };
  if (period.fromMs >= period.toMs)
    throw new CommandStop(
      `From ${from} to ${to ?? 'now'} is no time that is past: give a first day that is past and a last day not before it.\n${usage}`,
      2,
    );
  return period;
}

async function storedWard(
  { ward }: Wanted,
  env: NodeJS.ProcessEnv,
): Promise<{ copy: WardCopy; zone: string }> {
  const reading = readConfig(env);
  if (!reading.ok) throw new CommandStop(reading.problems.join('\n'), 2);
  const { config } = reading;
  const store = await openStore(config, createLog({ level: 'silent', pretty: false }), { mustExist: true });
  try {
    const known = async () => {
      const ids = (await store.client.smembers(wardsKey)).toSorted();
      return ids.length === 0 ? 'There is no ward in this store.' : `Wards here: ${ids.join(', ')}.`;
    };
    if (ward === undefined) throw new CommandStop(`Name a ward with --ward. ${await known()}\n${usage}`, 2);
    const copy = await readWardCopy(store.client, ward);
    if (copy === null) throw new CommandStop(`Ward ${ward} holds nothing. ${await known()}`, 1);
    return { copy, zone: config.wardZone };
  } finally {
    await store.close();
  }
}

function reportText(audit: WardAudit, ward: string, zone: string): string {
  const sections = [
    ...wardSections(audit),
    ...audit.practice.map(({ by }) => ({
      title: `Tries of ${by}, for that person and the ward lead`,
      sentences: personSentences(audit, by, zone),
    })),
    ...(audit.curves.length > 0 ? [{ title: 'Learning curves', sentences: [curveRule(audit.rates)] }] : []),
  ];
  const head = `Audit of ward ${ward}, ${periodText(audit.lines.period, zone)}`;
  const body = sections.map(
    ({ title, sentences }) => `${title}\n${sentences.map((one) => `  ${one}`).join('\n')}`,
  );
  return [head, ...body, auditCaution, ''].join('\n\n').trimEnd();
}

async function writePictures(folder: string, { pictures, curvePictures }: Audited): Promise<number> {
  const named = [
    ...pictures,
    ...Object.entries(curvePictures).map(([user, picture]) => ({
      ...picture,
      fileName: picture.fileName.replace(/(\.\w+)?$/, `-${user}$1`),
    })),
  ];
  try {
    await mkdir(folder, { recursive: true });
    for (const { fileName, pngBytes } of named)
      await writeFile(path.join(folder, fileName), pngBytes, { mode: 0o600 });
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    throw new CommandStop(`${folder} cannot be written (${code}): name a folder this user may write to.`, 1);
  }
  return named.length;
}

/** `npm run audit`. */
export async function auditCommand(call: CommandCall): Promise<void> {
  const wanted = words(call.words);
  const { copy, zone: usualZone } = wanted.example
    ? { copy: yearOfLines(example), zone: example.zone }
    : await storedWard(wanted, call.env);
  const policy = defaultPolicy(usualZone);
  // A ward whose clock is ahead of this machine's (practice) is counted up to its own last word.
  const times = [...copy.wardEntries, ...copy.lines.flatMap(({ entries }) => entries)].map(
    (entry) => entry.told,
  );
  const nowMs = wanted.example
    ? example.endMs
    : times.reduce((latest, at) => Math.max(latest, at + 1), Date.now());
  const { zone } = policyAtOf(copy.wardEntries, policy)(nowMs).shifts;
  const audit = wardAudit(copy, policy, periodOf(wanted, nowMs, zone));
  call.stdout.write(`${reportText(audit, copy.wardId, zone)}\n`);
  if (wanted.out === undefined) return;
  const count = await writePictures(wanted.out, drawnAudit(audit, audit.curves.length));
  call.stderr.write(`${wanted.out}: ${count} ${count === 1 ? 'picture' : 'pictures'}.\n`);
}
