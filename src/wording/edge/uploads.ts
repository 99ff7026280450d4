/** A file larger than is taken, bytes. */
export const uploadTooLarge = (mostBytes: number) =>
  `The upload is larger than ${mostBytes / 1_000_000} MB. Cut it to the minutes that matter; npm run strip reads longer files.`;

/** A file that the platform doesn't know, or keeps elsewhere. */
export const uploadUnknown = 'The uploaded file cannot be had from the chat platform. Upload it again.';

/** A file that the platform keeps back. */
export const uploadKeptBack =
  'The chat platform did not give the file. The app may lack the scope files:read: an administrator installs it anew.';
