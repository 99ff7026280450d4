import { createCipheriv, createDecipheriv, randomBytes } from 'node:crypto';

/** A key of 32 bytes, and the name by which what it sealed says so. */
export interface TokenKey {
  id: string;
  key: Uint8Array;
}

const cipher = 'aes-256-gcm';
/** NIST SP 800-38D: 96 bits are what a GCM nonce is made for; a tag has 128. */
const nonceBytes = 12;
const tagBytes = 16;
const version = 'v1';

/** AES-256-GCM: the text that was encrypted, then its tag. `about`: what it belongs to, which is bound to it but not in it. */
export function encrypted(
  key: Uint8Array,
  nonce: Uint8Array,
  about: Uint8Array,
  plain: Uint8Array,
): { text: Buffer; tag: Buffer } {
  const making = createCipheriv(cipher, key, nonce, { authTagLength: tagBytes }).setAAD(about);
  const text = Buffer.concat([making.update(plain), making.final()]);
  return { text, tag: making.getAuthTag() };
}

/** Thrown where a sealed text can't be opened; the message names no secret. */
export class SealNotOpened extends Error {
  /** The key that sealed it, where the text says so. */
  readonly keyId: string | null;
  constructor(why: string, keyId: string | null, cause?: unknown) {
    super(why, { cause });
    this.name = 'SealNotOpenedError';
    this.keyId = keyId;
  }
}

/** What a sealed text is bound to: its key's name and whose it is, so that neither can be put in place of another. */
function boundTo(owner: string, keyId: string): Buffer {
  return Buffer.from(`dicrotic ${version} ${keyId} ${owner}`);
}

/** Seals a text of `owner` (a workspace or organisation) with the first key. */
export function seal(keys: readonly TokenKey[], owner: string, plain: string): string {
  const [first] = keys;
  if (!first) throw new Error('there is no key to seal with');
  const nonce = randomBytes(nonceBytes);
  const { text, tag } = encrypted(first.key, nonce, boundTo(owner, first.id), Buffer.from(plain));
  const parts = [nonce, text, tag].map((part) => part.toString('base64url'));
  return [version, first.id, ...parts].join('.');
}

/** Which key sealed a text; null where it does not say. */
export function sealedBy(sealed: string): string | null {
  const [is, keyId] = sealed.split('.');
  return is === version && keyId ? keyId : null;
}

/** Opens what was sealed for `owner`. Throws `SealNotOpened` where it was sealed for another, changed, or its key is missing. */
export function opened(keys: readonly TokenKey[], owner: string, sealed: string): string {
  const [is, keyId = '', ...parts] = sealed.split('.');
  const bytes = parts.map((part) => Buffer.from(part, 'base64url'));
  const [nonce, text, tag] = bytes;
  // The last character of a part may carry bits that are not read: those, too, are as they were written.
  const isAsWritten = bytes.every((own, n) => own.toString('base64url') === parts[n]);
  if (is !== version || !nonce || !text || !tag || parts.length !== 3 || !isAsWritten)
    throw new SealNotOpened('what is kept of an installation is not as it was written', null);
  const key = keys.find(({ id }) => id === keyId);
  if (!key) throw new SealNotOpened('an installation is sealed with a key that was not given', keyId);
  try {
    const reading = createDecipheriv(cipher, key.key, nonce, { authTagLength: tagBytes });
    reading.setAAD(boundTo(owner, keyId)).setAuthTag(tag);
    return Buffer.concat([reading.update(text), reading.final()]).toString();
  } catch (cause) {
    throw new SealNotOpened('an installation was changed, or is another’s', keyId, cause);
  }
}
