import type { IncomingMessage } from 'node:http';
import type { Json } from './message.ts';

const mostBodyBytes = 12_000_000;

/** Reads a request's whole body. @throws above `mostBytes`, 12 MB unless given. */
export async function readBody(request: IncomingMessage, mostBytes = mostBodyBytes): Promise<Buffer> {
  const parts: Buffer[] = [];
  let bytes = 0;
  for await (const part of request as AsyncIterable<Buffer>) {
    bytes += part.length;
    if (bytes > mostBytes) throw new Error(`request body above ${mostBytes} bytes`);
    parts.push(part);
  }
  return Buffer.concat(parts);
}

/** A Web API body as one object: JSON, form fields, or multipart fields. Values of a form stay strings. */
export async function parseFields(request: IncomingMessage, body: Buffer): Promise<Json> {
  const type = request.headers['content-type'] ?? '';
  if (body.length === 0) return {};
  if (type.startsWith('application/json')) return JSON.parse(body.toString('utf8')) as Json;
  if (type.startsWith('multipart/form-data')) {
    const form = await new Response(new Uint8Array(body), { headers: { 'content-type': type } }).formData();
    return Object.fromEntries([...form.entries()].filter(([, value]) => typeof value === 'string'));
  }
  return Object.fromEntries(new URLSearchParams(body.toString('utf8')));
}

/** The bytes of an upload, sent raw or as the first file of a multipart form. */
export async function uploadedBytes(request: IncomingMessage, body: Buffer): Promise<Buffer> {
  const type = request.headers['content-type'] ?? '';
  if (!type.startsWith('multipart/form-data')) return body;
  const form = await new Response(new Uint8Array(body), { headers: { 'content-type': type } }).formData();
  for (const [, value] of form.entries())
    if (typeof value !== 'string') return Buffer.from(await value.arrayBuffer());
  return body;
}

/** The text fields and the files of a multipart form, files in their order. @throws when it is none. */
export async function parseForm(
  request: IncomingMessage,
  body: Buffer,
): Promise<{ fields: Record<string, string>; files: { name: string; bytes: Buffer }[] }> {
  const type = request.headers['content-type'] ?? '';
  const form = await new Response(new Uint8Array(body), { headers: { 'content-type': type } }).formData();
  const fields: Record<string, string> = {};
  const files: { name: string; bytes: Buffer }[] = [];
  for (const [key, value] of form.entries())
    if (typeof value === 'string') fields[key] = value;
    else files.push({ name: value.name, bytes: Buffer.from(await value.arrayBuffer()) });
  return { fields, files };
}
