/**
 * Something this machine lacks and that we could not put right ourselves.
 * Its message is one plain sentence for the person at the keyboard; the process then ends with code 2.
 */
export class SetupFault extends Error {
  /** @param {string} message what is missing and what to do */
  constructor(message) {
    super(message);
    this.name = 'SetupFault';
  }
}
