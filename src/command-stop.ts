/**
 * Ends a command of the repository with words for whoever typed it. Code 1: what it was asked for cannot be had; 2: the words
 * or settings are wrong.
 */
export class CommandStop extends Error {
  readonly code: 1 | 2;
  constructor(message: string, code: 1 | 2) {
    super(message);
    this.code = code;
  }
}
