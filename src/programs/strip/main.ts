import { readFile, stat, writeFile } from 'node:fs/promises';
import path from 'node:path';
import { parseArgs } from 'node:util';
import { filesBeside, parseStripFiles, type UploadedFile } from '../../domain/strip/parse-strip-files.ts';
import { largestFileBytes } from '../../domain/strip/pressure-strip.ts';
import { readStrip } from '../../domain/strip/strip-findings.ts';
import { pngOf } from '../../pictures/drawn.ts';
import { stripPicture } from '../../pictures/strip/strip-picture.ts';
import { uploadRefusal, whichChannelWords } from '../../wording/refusals/upload-refusals.ts';
import { stripAltText } from '../../wording/strips/strip-picture-words.ts';
import { stripSentence } from '../../wording/strips/strip-sentence.ts';
import { CommandStop } from '../command-stop.ts';
import { findingsText } from './findings-text.ts';
import { toldFindings } from './told-findings.ts';

const usage =
  'npm run strip -- FILE [--channel NAME] [--json] [--picture FILE.png]\n' +
  'FILE is a CSV file whose heading names columns and units (time_s,abp_mmHg), or a WFDB header (.hea) with its data beside it.';

function words() {
  try {
    return parseArgs({
      args: process.argv.slice(2),
      allowPositionals: true,
      options: {
        json: { type: 'boolean', default: false },
        channel: { type: 'string' },
        picture: { type: 'string' },
      },
    });
  } catch (error) {
    throw new CommandStop(`${error instanceof Error ? error.message : String(error)}\n${usage}`, 2);
  }
}

async function bytesOf(file: string): Promise<Uint8Array | null> {
  try {
    const { size } = await stat(file);
    // One byte more than is taken is enough to be refused for its size.
    return size > largestFileBytes ? new Uint8Array(largestFileBytes + 1) : await readFile(file);
  } catch {
    return null;
  }
}

async function uploaded(file: string): Promise<UploadedFile[]> {
  const bytes = await bytesOf(file);
  if (bytes === null)
    throw new CommandStop(`${file} cannot be read: give the path of a file that is there.\n${usage}`, 2);
  const first = { name: path.basename(file), bytes };
  const files = [first];
  for (const name of filesBeside(first)) {
    const beside = await bytesOf(path.join(path.dirname(file), name));
    if (beside !== null) files.push({ name, bytes: beside });
  }
  return files;
}

async function writePicture(file: string, pngBytes: Uint8Array): Promise<void> {
  try {
    await writeFile(file, pngBytes);
  } catch {
    throw new CommandStop(`${file} cannot be written: name a file in a folder that is there.\n${usage}`, 2);
  }
}

async function main(): Promise<void> {
  const { values, positionals } = words();
  const [file, ...more] = positionals;
  if (file === undefined || more.length > 0) throw new CommandStop(`Name one file.\n${usage}`, 2);
  const parsed = parseStripFiles(await uploaded(file), values.channel ?? null);
  switch (parsed.result) {
    case 'refused':
      throw new CommandStop(uploadRefusal(parsed.refusal), 1);
    case 'which channel':
      throw new CommandStop(`${whichChannelWords(parsed.channels)} Add --channel NAME.`, 1);
    case 'strip': {
      const read = readStrip(parsed.strip);
      const { findings } = read;
      if (values.picture !== undefined) {
        await writePicture(
          values.picture,
          (await stripPicture(parsed.strip, read, async (svg) => pngOf(svg))).pngBytes,
        );
      }
      process.stdout.write(
        values.json
          ? `${JSON.stringify({ sentence: stripSentence(findings), altText: stripAltText(read), ...toldFindings(findings) }, null, 2)}\n`
          : findingsText(findings),
      );
    }
  }
}

try {
  await main();
} catch (error) {
  if (!(error instanceof CommandStop)) throw error;
  process.stderr.write(`${error.message}\n`);
  process.exitCode = error.code;
}
