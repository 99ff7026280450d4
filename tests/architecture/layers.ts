import path from 'node:path';

/** A layer: a folder of `src`, what lives there, and what it may import besides itself. */
export interface Layer {
  holds: string;
  /** Other folders of `src`. */
  layers: readonly string[];
  /** Packages, and modules of Node, each by the name it is imported by. `node:*` stands for any of Node's. */
  packages: readonly string[];
}

/** What a process is put together from. */
const partsOfProcess = [
  'domain',
  'wording',
  'app',
  'event-loop',
  'observe',
  'pictures',
  'paper',
  'files',
  'export',
  'redis',
  'jobs',
  'audit',
  'chat',
  'slack',
];

/**
 * The layers from the innermost to the programs. Each may import only what stands above it here, and of that only what it names.
 */
export const layers: Readonly<Record<string, Layer>> = {
  domain: {
    holds: 'the pure core: entries → state → duties; no clock, no chance, no input or output',
    layers: [],
    packages: ['luxon', 'zod'],
  },
  wording: {
    holds: 'what a ward reads, a folder a subject, and the marks of rich text',
    layers: ['domain'],
    packages: ['luxon'],
  },
  app: {
    holds: 'what the bot does, a file a use case; `ports.ts` is what it needs from outside',
    layers: ['domain', 'wording'],
    packages: ['luxon'],
  },
  'event-loop': {
    holds: 'the event loop',
    layers: ['app'],
    packages: ['node:*'],
  },
  invented: {
    holds: 'an invented ward and its year from a seed, for demos and for trying audits',
    layers: ['domain', 'app'],
    packages: [],
  },
  observe: {
    holds: 'log, metrics, health, traces',
    layers: ['app'],
    packages: ['node:*', 'pino', 'pino-pretty', 'prom-client'],
  },
  pictures: {
    holds: 'what the domain counts or reads, drawn with the words it is given',
    layers: ['domain', 'wording'],
    packages: ['node:*', '@resvg/resvg-js'],
  },
  paper: {
    holds: 'pages of A4 as PDF, from words they are given',
    layers: ['wording'],
    packages: ['node:*', 'pdfkit'],
  },
  files: {
    holds: 'pictures and pages, made in a process of their own',
    layers: ['domain', 'pictures', 'paper'],
    packages: ['node:*'],
  },
  export: {
    holds: 'a record as NDJSON, CSV and FHIR R4, and NDJSON read back',
    layers: ['domain', 'wording', 'app'],
    packages: ['node:*', 'luxon', 'zod'],
  },
  redis: {
    holds: 'the record on Redis, BullMQ as alarm clock, the embedded server',
    layers: ['domain', 'app', 'observe'],
    packages: ['node:*', 'bullmq', 'ioredis', 'zod'],
  },
  jobs: {
    holds: 'the workers: wake, post, sweep',
    layers: ['app', 'observe'],
    packages: ['bullmq', 'zod'],
  },
  audit: {
    holds: 'an audit with its pictures, counted in a thread of its own',
    layers: ['domain', 'wording', 'app', 'pictures', 'redis'],
    packages: ['node:*', 'luxon'],
  },
  chat: {
    holds: 'what people read, press and fill in, and what that does, on whatever platform: it knows none',
    layers: ['domain', 'wording', 'app', 'paper', 'audit'],
    packages: ['node:crypto', 'node:util', 'luxon', 'zod'],
  },
  slack: {
    holds: 'the chat platform: what comes in and how it is answered',
    layers: ['domain', 'wording', 'app', 'chat'],
    packages: ['node:*', '@slack/bolt', '@slack/web-api', 'luxon', 'zod'],
  },
  terminal: {
    holds: 'messages, pages and forms as plain text of a terminal',
    layers: ['wording', 'chat'],
    packages: [],
  },
  practice: {
    holds: 'a stand-in for the chat platform and its page; it knows nothing of the bot',
    layers: ['domain', 'app'],
    packages: ['node:*', 'luxon', 'ws', 'zod'],
  },
  service: {
    holds: 'a process put together from the layers above',
    layers: partsOfProcess,
    packages: ['node:*', '@slack/web-api'],
  },
  programs: {
    holds: 'what a person starts, a folder a command; nothing imports a program',
    layers: [...partsOfProcess, 'invented', 'terminal', 'practice', 'service'],
    packages: ['node:*', 'luxon', 'zod'],
  },
  bootstrap: {
    holds: 'plain .mjs that runs on Node 20 and sets a bare machine up',
    layers: [],
    packages: ['node:*'],
  },
};

/** What may be said of one module only, closer than its layer. */
export const closer: Readonly<
  Record<string, Pick<Layer, 'layers' | 'packages'> & { files: readonly string[] }>
> = {
  // The environment becomes settings here and nowhere else, so nothing else comes in with it.
  'src/programs/config.ts': {
    layers: [],
    files: ['src/programs/settings.ts', 'src/programs/settings-that-clash.ts', 'src/redis/redis-address.ts'],
    packages: ['node:path'],
  },
  // The one module that knows what tells traces to a collector; it's loaded only where one is set.
  'src/observe/otlp-traces.ts': {
    layers: [],
    files: [
      'src/observe/library-log.ts',
      'src/observe/log.ts',
      'src/observe/safe-fields.ts',
      'src/observe/traces.ts',
    ],
    packages: [
      'node:async_hooks',
      '@opentelemetry/api',
      '@opentelemetry/exporter-trace-otlp-http',
      '@opentelemetry/resources',
      '@opentelemetry/sdk-trace',
    ],
  },
  'src/programs/settings.ts': {
    layers: [],
    files: ['src/redis/redis-address.ts'],
    packages: ['luxon', 'zod'],
  },
  'src/programs/settings-that-clash.ts': { layers: [], files: ['src/programs/settings.ts'], packages: [] },
};

/** A module of `src`: its path from the root, and the modules it imports, as written. */
export interface ModuleImports {
  file: string;
  imports: readonly string[];
}

const importing =
  /(?:^|[\s;}])(?:import|export)\b[^'"`;]*?\bfrom\s*'([^']+)'|(?:^|[\s;(])import\s*\(?\s*'([^']+)'/gm;

/** The modules that the text of a module imports, by value or for its types, now or later; also what it exports on. */
export function importsOf(text: string): string[] {
  return [...text.matchAll(importing)].map((match) => match[1] ?? match[2] ?? '');
}

/** Each import that the layers don't allow, as a sentence that says what to do. */
export function badArrows(modules: readonly ModuleImports[]): string[] {
  return modules.flatMap(({ file, imports }) =>
    imports.flatMap((specifier) => {
      const fault = faultOf(file, specifier);
      return fault === null ? [] : [`${file} imports ${specifier}: ${fault}`];
    }),
  );
}

function faultOf(file: string, specifier: string): string | null {
  const from = layerOf(file);
  const layer = layers[from];
  if (layer === undefined) return `${from} is no layer: name it in tests/architecture/layers.ts.`;
  const rule = closer[file] ?? { ...layer, files: [] };
  if (!specifier.startsWith('.')) {
    const named = specifier.startsWith('node:') ? ['node:*', specifier] : [specifier];
    return named.some((name) => rule.packages.includes(name))
      ? null
      : `src/${from} does without this package.`;
  }
  const target = resolved(file, specifier);
  if (rule.files.includes(target)) return null;
  const to = layerOf(target);
  if (!target.startsWith('src/')) return 'it lies outside src.';
  if (to === from && closer[file] === undefined)
    return from === 'programs' && isOfOtherProgram(file, target) ? 'nothing imports a program.' : null;
  return rule.layers.includes(to)
    ? null
    : `src/${from} may import ${rule.layers.join(', ') || 'nothing else'}.`;
}

const layerOf = (file: string) => file.split('/')[1] ?? '';

/** `jobs` is the bot in another role: it starts the bot's own main. */
function isOfOtherProgram(file: string, target: string): boolean {
  const [, , mine] = file.split('/');
  const [, , other, inside] = target.split('/');
  return (
    inside !== undefined && other !== mine && !(mine === 'jobs' && target === 'src/programs/bot/main.ts')
  );
}

function resolved(file: string, specifier: string): string {
  return new URL(specifier, `file:///${file}`).pathname.slice(1);
}

/** For each folder, which others its modules import. */
export function arrowsOfFolders(modules: readonly ModuleImports[]): Map<string, string[]> {
  const arrows = new Map<string, string[]>();
  for (const { file, imports } of modules) {
    const folder = path.posix.dirname(file);
    const others = imports
      .filter((specifier) => specifier.startsWith('.'))
      .map((specifier) => path.posix.dirname(resolved(file, specifier)))
      .filter((other) => other !== folder);
    arrows.set(folder, [...new Set([...(arrows.get(folder) ?? []), ...others])]);
  }
  return arrows;
}

/** A way along the arrows that comes back to where it began, or null where there is none. */
export function circleIn(arrows: ReadonlyMap<string, readonly string[]>): string[] | null {
  const done = new Set<string>();
  const walk = (at: string, way: readonly string[]): string[] | null => {
    if (way.includes(at)) return [...way.slice(way.indexOf(at)), at];
    if (done.has(at)) return null;
    for (const next of arrows.get(at) ?? []) {
      const circle = walk(next, [...way, at]);
      if (circle) return circle;
    }
    done.add(at);
    return null;
  };
  for (const start of arrows.keys()) {
    const circle = walk(start, []);
    if (circle) return circle;
  }
  return null;
}
