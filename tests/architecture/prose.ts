import { parseAst } from 'vitest/node';

/** A node of the syntax tree, as far as it's looked at here. */
interface Node {
  type: string;
  start: number;
  [part: string]: unknown;
}

const isNode = (value: unknown): value is Node =>
  typeof value === 'object' && value !== null && 'type' in value && typeof value.type === 'string';

/** What is called or made: `log.warn` → `log`, `deps.trouble` → `trouble`, `new Outage` → `Outage`. */
function calledName({ callee }: Node): string {
  if (!isNode(callee)) return '';
  if (callee.type === 'Super') return 'super';
  const nameOf = (node: unknown) => (isNode(node) && typeof node.name === 'string' ? node.name : '');
  return nameOf(callee.object).startsWith('log') ? 'log' : nameOf(callee.property) || nameOf(callee);
}

/** What nobody on a ward sees: what is thrown, and what goes to the log. */
function isUnseen(node: Node): boolean {
  if (node.type === 'NewExpression') return /(?:Error|Unavailable)$/.test(calledName(node));
  if (node.type === 'CallExpression') return ['super', 'log', 'trouble'].includes(calledName(node));
  return node.type === 'ThrowStatement';
}

/** Calls that take names: of zod, of lists and of text. */
const takesNames = ['literal', 'enum', 'includes', 'startsWith', 'endsWith', 'has', 'get'];

/** Whether a part of this node that's text names something instead of saying it: a module, a type, a key, a case. */
function isName(node: Node, part: string): boolean {
  switch (node.type) {
    case 'SwitchCase':
      return part === 'test';
    case 'BinaryExpression':
      return ['===', '!=='].includes(String(node.operator));
    case 'CallExpression':
      return takesNames.includes(calledName(node));
    case 'TSAsExpression':
      return JSON.stringify(node.typeAnnotation).includes('"const"');
    default:
      return node.type === 'TSLiteralType' || part === 'key' || part === 'source';
  }
}

/** Text, or a list of it. */
const mayBeText = new Set(['Literal', 'TemplateLiteral', 'ArrayExpression']);

const word = /^[“"(]*\p{L}[\p{L}’'-]+[.,;:!?)”"]*$/u;

/** Whether two words follow each other in it, once markup is left out. */
export function isProse(text: string): boolean {
  const words = text.replaceAll(/<[^>]*>/g, ' ').split(/\s+/);
  return words.some((one, index) => word.test(one) && word.test(words[index + 1] ?? ''));
}

/** What a literal or a template says, with `…` for what is put into it; undefined of any other node. */
function textOf(node: Node): string | undefined {
  if (node.type === 'Literal') return typeof node.value === 'string' ? node.value : undefined;
  if (node.type !== 'TemplateLiteral') return undefined;
  const { quasis } = node as unknown as { quasis: { value: { cooked: string } }[] };
  return quasis.map(({ value }) => value.cooked).join('…');
}

/** The texts of a module: those that name something, and the prose among the rest with the line it begins in. */
export function textsOf(code: string): { names: string[]; prose: { text: string; line: number }[] } {
  const names: string[] = [];
  const prose: { text: string; line: number }[] = [];
  const walk = (node: Node, named: boolean): void => {
    if (isUnseen(node)) return;
    const text = textOf(node);
    if (text !== undefined && named) names.push(text);
    else if (text !== undefined && isProse(text))
      prose.push({ text, line: code.slice(0, node.start).split('\n').length });
    for (const part in node) {
      const inner = node[part];
      if (typeof inner !== 'object') continue;
      for (const one of Array.isArray(inner) ? inner : [inner])
        if (isNode(one) && one.type !== 'Identifier')
          walk(
            one,
            mayBeText.has(one.type) && (isName(node, part) || (named && node.type === 'ArrayExpression')),
          );
    }
  };
  walk(parseAst(code, { lang: 'ts' }) as unknown as Node, false);
  return { names, prose };
}

/** Keys, cases and alternatives in a module's text: quicker than its tree. */
export function namesAtAGlance(code: string): string[] {
  const all = code.matchAll(/(?:case|[!=]==|\|) '([^'\n]+)'|'([^'\n]+)'(?::| \|)/g);
  return [...all].map(([, before, after]) => before ?? after ?? '');
}
