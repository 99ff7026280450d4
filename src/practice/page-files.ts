import { readdirSync, readFileSync } from 'node:fs';
import { stripTypeScriptTypes } from 'node:module';

const folder = new URL('./page/', import.meta.url);
const contentTypes: Readonly<Record<string, string>> = {
  html: 'text/html; charset=utf-8',
  css: 'text/css; charset=utf-8',
  ts: 'text/javascript; charset=utf-8',
  svg: 'image/svg+xml',
};

/** A file as the browser gets it. */
export interface ServedFile {
  text: string;
  contentType: string;
}

const served = new Map<string, ServedFile>();

/** A file of the page by its name, scripts without their types; undefined where the page has none of it. */
export function pageFile(name: string): ServedFile | undefined {
  if (served.size === 0) readAll();
  return served.get(name);
}

function readAll(): void {
  for (const name of readdirSync(folder)) {
    const contentType = contentTypes[name.slice(name.lastIndexOf('.') + 1)];
    if (contentType === undefined) continue;
    const text = readFileSync(new URL(name, folder), 'utf8');
    served.set(name, { text: name.endsWith('.ts') ? withoutTypes(text) : text, contentType });
  }
}

/** Node warns that stripping may change yet. The Node is the one that came with us, so nobody needs to know. */
function withoutTypes(text: string): string {
  const emitWarning = process.emitWarning.bind(process);
  process.emitWarning = () => {};
  try {
    return stripTypeScriptTypes(text);
  } finally {
    process.emitWarning = emitWarning;
  }
}
