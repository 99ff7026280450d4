import { isUtf8 } from 'node:buffer';
import { botMessage, compose } from './composing.ts';
import { asText, type Method, type PendingUpload, type PlatformCore, refuse, structured } from './core.ts';
import type { Json, StoredFile } from './message.ts';
import { post, postingPlace } from './posting.ts';

const mimetypes: Record<string, string> = {
  png: 'image/png',
  csv: 'text/csv',
  txt: 'text/plain',
  pdf: 'application/pdf',
  json: 'application/json',
  jpg: 'image/jpeg',
};
/** files.getUploadURLExternal: alternative text. */
const mostAltTextCharacters = 1_000;

const kindOf = (name: string) => name.slice(name.lastIndexOf('.') + 1).toLowerCase();
const isText = (bytes: Buffer) => isUtf8(bytes) && !bytes.includes(0);

/** The platform's word for a file (file object, `filetype`): not the ending, where it does not know that. */
function filetypeOf(file: StoredFile): string {
  if (file.mimetype === 'text/plain') return 'text';
  return kindOf(file.name) in mimetypes ? kindOf(file.name) : 'binary';
}

/** A file with the keys the chat platform gives it. */
export function fileOutput(core: PlatformCore, file: StoredFile): Json {
  return {
    id: file.id,
    created: file.created,
    timestamp: file.created,
    name: file.name,
    title: file.title,
    filetype: filetypeOf(file),
    mimetype: file.mimetype,
    mode: 'hosted',
    is_external: false,
    file_access: 'visible',
    size: Buffer.byteLength(file.bytesBase64, 'base64'),
    user: file.owner,
    user_team: core.world.team.id,
    alt_txt: file.altText,
    channels: file.channels,
    permalink: `${core.origin()}/files/${file.id}`,
    url_private: `${core.origin()}/files/${file.id}`,
    url_private_download: `${core.origin()}/files/${file.id}`,
  };
}

/** A file by its id, as payloads carry it. @throws when it was never uploaded. */
export function uploadedFile(core: PlatformCore, id: string): Json {
  const file = core.workspace.files.get(id);
  if (!file) throw new Error(`No file ${id} was uploaded.`);
  return fileOutput(core, file);
}

/** Stores a file's bytes under a fresh id. */
export function storeFile(
  core: PlatformCore,
  given: { name: string; title: string; altText: string; owner: string; bytes: Buffer; id?: string },
): StoredFile {
  const file: StoredFile = {
    id: given.id ?? core.workspace.nextId('F'),
    name: given.name,
    title: given.title,
    altText: given.altText,
    mimetype:
      mimetypes[kindOf(given.name)] ?? (isText(given.bytes) ? 'text/plain' : 'application/octet-stream'),
    owner: given.owner,
    created: Math.floor(core.clock.now() / 1000),
    bytesBase64: given.bytes.toString('base64'),
    channels: [],
  };
  core.workspace.record({ kind: 'uploaded', file });
  return file;
}

const getUploadUrl: Method = (core, args) => {
  const filename = asText(args.filename);
  const lengthBytes = Number(args.length);
  const altText = asText(args.alt_txt);
  if (args.alt_text !== undefined)
    core.warnings.push(
      'files.getUploadURLExternal: alt_text is not an argument, alt_txt is; no text was kept',
    );
  if (filename === '' || !Number.isInteger(lengthBytes) || lengthBytes <= 0)
    return refuse('invalid_arguments');
  if (altText.length > mostAltTextCharacters) return refuse('alt_txt_too_large');
  const id = core.workspace.nextId('F');
  core.uploads.set(id, { filename, altText, lengthBytes });
  return { ok: true, upload_url: `${core.origin()}/upload/${id}`, file_id: id };
};

const completeUpload: Method = (core, args) => {
  const parsed = structured(args.files);
  if (!parsed.ok || !Array.isArray(parsed.value) || parsed.value.length === 0)
    return refuse('invalid_arguments');
  const wanted = parsed.value as { id: string; title?: string }[];
  if (wanted.some(({ id }) => core.uploads.get(id)?.bytes === undefined)) return refuse('file_not_found');
  const channel = args.channel_id ?? args.channels;
  const place = channel === undefined ? undefined : postingPlace(core, channel);
  if (place && 'refusal' in place) return place.refusal;
  const threadTs = asText(args.thread_ts);
  if (threadTs !== '' && !(place && core.workspace.message(place.id, threadTs)))
    return refuse('thread_not_found');
  // The comment wins: "If the initial_comment field is provided, the blocks field is ignored" (method page).
  const comment = asText(args.initial_comment);
  const words = compose(
    core,
    'files.completeUploadExternal',
    comment === '' ? { text: '', blocks: args.blocks } : { text: comment },
  );
  if (!words.ok) return words.refusal;
  const files = wanted.map(({ id, title }) => completed(core, id, title));
  // github slackapi/python-slack-sdk 1818 (open): with alt_txt on a file that is no picture, it is never shared.
  const unshared = files.filter((file) => file.altText !== '' && !file.mimetype.startsWith('image/'));
  for (const { name } of unshared)
    core.warnings.push(`files.completeUploadExternal: ${name} has alt_txt and is no picture; not shared`);
  const isShared = place && unshared.length === 0;
  if (isShared)
    for (const { id } of files) core.workspace.record({ kind: 'shared', fileId: id, channel: place.id });
  const output = files.map((file) => fileOutput(core, file));
  const thread = threadTs === '' ? {} : { thread_ts: threadTs };
  if (isShared) post(core, place, botMessage(core, words.composed, { files: output, ...thread }));
  return { ok: true, files: output };
};

/** An announced upload whose bytes have come, as a file of the bot. */
function completed(core: PlatformCore, id: string, title: string | undefined): StoredFile {
  const { filename: name, altText, bytes = Buffer.alloc(0) } = core.uploads.get(id) as PendingUpload;
  core.uploads.delete(id);
  return storeFile(core, {
    id,
    name,
    altText,
    bytes,
    title: title ?? name,
    owner: core.world.app.botUserId,
  });
}

const info: Method = (core, args) => {
  const file = core.workspace.files.get(asText(args.file));
  return file ? { ok: true, file: fileOutput(core, file) } : refuse('file_not_found');
};

/** files.* */
export const fileMethods: Record<string, Method> = {
  'files.getUploadURLExternal': getUploadUrl,
  'files.completeUploadExternal': completeUpload,
  'files.info': info,
};
