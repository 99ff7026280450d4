const mentioned = /^<@([UW][A-Z0-9]{2,})(?:\|[^>]*)?>[,;:.]*$/;

/** The user id of a word that is a person picked from the platform's list; undefined for any other word. */
export function personWord(word: string | undefined): string | undefined {
  return mentioned.exec(word ?? '')?.[1];
}
