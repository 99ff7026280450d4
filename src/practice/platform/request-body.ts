import type { IncomingMessage } from 'node:http';
import type { Json } from './message.ts';

const mostBodyBytes = 12_000_000;

/** Reads a request's whole body; refuses more than 12 MB. */
export async function readBody(request: IncomingMessage): Promise<Buffer> {
  const parts: Buffer[] = [];
  let bytes = 0;
  for await (const part of request as AsyncIterable<Buffer>) {
    bytes += part.length;
    if (bytes > mostBodyBytes) throw new Error(`request body above ${mostBodyBytes} bytes`);
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
