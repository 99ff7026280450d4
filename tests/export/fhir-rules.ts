import { readFileSync } from 'node:fs';
import fhirpath from 'fhirpath';
import r4 from 'fhirpath/fhir-context/r4';

interface Element {
  path: string;
  min: number;
  max: string;
  types: string[];
  /** Types of resource that a reference may name; empty: any. */
  targets: string[];
  constraints: { key: string; human: string; expression: string }[];
}

type Node = Record<string, unknown>;

/** HL7's own definitions of FHIR R4 4.0.1, as far as a bundle of ours needs them: see fixtures/fhir-r4/README.md. */
const { types, extensions } = JSON.parse(
  readFileSync(new URL('../fixtures/fhir-r4/definitions.json', import.meta.url), 'utf8'),
) as {
  types: Record<string, Element[]>;
  extensions: Record<string, { context: string[]; parts: { url: string; min: number; max: string }[] }>;
};
const elements = new Map(
  Object.entries(types).map(([type, all]) => [type, new Map(all.map((one) => [one.path, one]))]),
);

/** Evaluated by the library fhirpath 5.2.2 once for each path and expression. */
const compiled = new Map<string, (node: unknown, given: object) => unknown>();
function evaluate(base: string, expression: string, node: unknown, given: object): unknown {
  const key = `${base}|${expression}`;
  let run = compiled.get(key);
  if (!run) {
    // What an expression traces is for whoever writes one.
    run = fhirpath.compile({ base, expression }, r4, { traceFn: () => {} }) as typeof run & {};
    compiled.set(key, run);
  }
  return run(node, given);
}

/** Where a choice such as `value[x]` or a plain name is defined below a path; undefined: nowhere. */
function below(type: string, path: string, name: string): { element: Element; type: string } | undefined {
  const known = elements.get(type);
  const plain = known?.get(`${path}.${name}`);
  if (plain) return { element: plain, type: plain.types[0] ?? '' };
  for (const [at, element] of known ?? []) {
    if (!at.startsWith(`${path}.`) || !at.endsWith('[x]')) continue;
    const stem = at.slice(path.length + 1, -'[x]'.length);
    if (!name.startsWith(stem)) continue;
    const chosen = element.types.find((one) => one.toLowerCase() === name.slice(stem.length).toLowerCase());
    if (chosen !== undefined) return { element, type: chosen };
  }
  return undefined;
}

/**
 * What a bundle of ours never has, by the last name of its path, and the invariants that are about nothing else: of
 * contained resources and narratives the library reads HL7's expressions otherwise than HL7's validator, and what
 * `onBehalfOf` names it would ask a server for.
 */
const neverMade: Record<string, readonly string[]> = {
  contained: ['dom-2', 'dom-3', 'dom-4', 'dom-5'],
  text: ['txt-1', 'txt-2'],
  onBehalfOf: ['ctm-1'],
};
const notEvaluated = new Set(Object.values(neverMade).flat());

/**
 * What HL7's definitions have against a bundle, each with its path: its invariants by their keys, how often each element
 * stands, which types a reference may name, and that every reference leads to a resource of the bundle.
 * `without`: keys of invariants that are not evaluated.
 */
export function ruleFaults(bundle: unknown, without: readonly string[] = []): string[] {
  const faults: string[] = [];
  const seen = new Set<string>();
  const entries = ((bundle as Node)['entry'] ?? []) as { fullUrl?: string; resource?: Node }[];
  const byUrl = new Map(
    entries.map(({ fullUrl, resource }) => [fullUrl, String(resource?.['resourceType'])]),
  );

  const constraints = (element: Element, base: string, node: Node, resource: Node, at: string) => {
    // The same value at the same place gives the same answer, unless it asks about all of the resource.
    const isData = resource['resourceType'] !== 'Bundle' && node['resourceType'] === undefined;
    const value = isData ? JSON.stringify(node) : '';
    for (const { key, human, expression } of element.constraints) {
      if (without.includes(key) || notEvaluated.has(key)) continue;
      const once = isData && !expression.includes('esource') ? `${base}|${key}|${value}` : null;
      if (once !== null && seen.has(once)) continue;
      const [holds] = evaluate(base, expression, node, { resource, rootResource: resource }) as unknown[];
      if (holds === false) faults.push(`${at}: ${key}: ${human}`);
      else if (once !== null) seen.add(once);
    }
  };

  const walk = (node: Node, type: string, path: string, resource: Node, at: string) => {
    const known = elements.get(type);
    if (!known) return void faults.push(`${at}: ${type} is not among the definitions taken`);
    for (const [name, value] of Object.entries(node)) {
      if (name === 'resourceType' || value === undefined) continue;
      const found = below(type, path, name);
      if (!found) {
        faults.push(`${at}.${name}: no such element`);
        continue;
      }
      const { element } = found;
      if (Object.hasOwn(neverMade, name) && !isPlainText(found.type)) {
        faults.push(`${at}.${name}: ${neverMade[name]?.join(', ')}: never made, and so not looked at`);
        continue;
      }
      const values = Array.isArray(value) ? value : [value];
      if (Array.isArray(value) !== (element.max !== '1')) faults.push(`${at}.${name}: ${element.max} of it`);
      if (values.length === 0) faults.push(`${at}.${name}: empty`);
      for (const [index, one] of values.entries()) {
        const here = `${at}.${name}${Array.isArray(value) ? `[${index}]` : ''}`;
        if (one === null || one === '' || (typeof one === 'object' && Object.keys(one).length === 0))
          faults.push(`${here}: empty`);
        // Of a value without parts HL7 asks only that it is one (ele-1).
        if (typeof one !== 'object' || one === null) continue;
        constraints(element, element.path, one as Node, resource, here);
        if (found.type === 'Resource') resourceAt(one as Node, here);
        else if (['BackboneElement', 'Element'].includes(found.type))
          walk(one as Node, type, element.path, resource, here);
        else typed(one as Node, found.type, element, resource, here);
      }
    }
    for (const [childPath, { min }] of known) {
      if (min === 0 || !childPath.startsWith(`${path}.`) || childPath.slice(path.length + 1).includes('.'))
        continue;
      const name = childPath.slice(path.length + 1).replace('[x]', '');
      if (
        !Object.keys(node).some((key) => key === name || (childPath.endsWith('[x]') && key.startsWith(name)))
      )
        faults.push(`${at}.${name}: missing`);
    }
  };

  const typed = (node: Node, type: string, from: Element, resource: Node, at: string) => {
    const root = elements.get(type)?.get(type);
    if (root) constraints(root, type, node, resource, at);
    walk(node, type, type, resource, at);
    if (type === 'Reference') reference(node, from, at);
    if (type === 'Extension') extension(node, String(resource['resourceType']), at);
  };

  const reference = (node: Node, { targets }: Element, at: string) => {
    const to = node['reference'] as string | undefined;
    if (to === undefined) {
      if (!node['identifier']) faults.push(`${at}: a reference to nothing`);
      return;
    }
    const named = byUrl.get(to);
    if (named === undefined) faults.push(`${at}: ${to} is not in the bundle`);
    else if (targets.length > 0 && !targets.includes('Resource') && !targets.includes(named))
      faults.push(`${at}: ${named}, of ${targets.join('|')}`);
  };

  const extension = (node: Node, on: string, at: string) => {
    const defined = extensions[String(node['url'])];
    if (!defined) return;
    if (!defined.context.includes(on)) faults.push(`${at}: not on ${on}`);
    const inner = (node['extension'] ?? []) as Node[];
    for (const { url, min, max } of defined.parts) {
      const count = inner.filter((one) => one['url'] === url).length;
      if (count < min || (max !== '*' && count > Number(max))) faults.push(`${at}: ${count} of ${url}`);
    }
  };

  const resourceAt = (resource: Node, at: string) => {
    const type = String(resource['resourceType']);
    const root = elements.get(type)?.get(type);
    if (root) constraints(root, type, resource, resource, at);
    walk(resource, type, type, resource, `${at}(${type})`);
  };

  resourceAt(bundle as Node, 'Bundle');
  return faults;
}

function isPlainText(type: string): boolean {
  return type === 'string' || type === 'String' || type === 'markdown';
}

/** The codes of UCUM in a bundle that the UCUM table which fhirpath 5.2.2 carries does not know. */
export function unitFaults(bundle: unknown): string[] {
  const codes = new Set<string>();
  JSON.stringify(bundle, (_, value: unknown) => {
    const { system, code } = (value ?? {}) as { system?: unknown; code?: unknown };
    if (system === 'http://unitsofmeasure.org') codes.add(String(code));
    return value;
  });
  return [...codes].filter((code) => fhirpath.ucumUtils.validateUnitString(code).status !== 'valid');
}
