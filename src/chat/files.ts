/** A picture with its words. */
export interface Drawing {
  pngBytes: Uint8Array;
  altText: string;
}

/** Shares a picture in a channel or a thread of it; throws where the platform does not take it. */
export type SharePicture = (
  drawing: Drawing,
  place: { channel: string; threadId?: string; title: string; fileName: string },
) => Promise<void>;

/** A file as it is shared; `altText` only of a picture: with it, the platform does not share anything else. */
export interface SharedFile {
  name: string;
  bytes: Uint8Array;
  altText?: string;
}
