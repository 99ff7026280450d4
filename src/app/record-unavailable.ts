/**
 * Thrown by a record that cannot be reached, is overloaded, or refuses to write. Nobody may be told "recorded" then.
 * `mayBeWritten`: the change was on its way when the answer failed to come, so it may be in the record all the same;
 * recording it again is safe, because logs are compared by their length and `once` keys are remembered.
 */
export class RecordUnavailable extends Error {
  readonly mayBeWritten: boolean;

  constructor(cause: unknown, mayBeWritten = false) {
    const why = cause instanceof Error ? cause.message : String(cause);
    super(`The record cannot be reached (${why}): record it again once Redis answers.`, { cause });
    this.name = 'RecordUnavailable';
    this.mayBeWritten = mayBeWritten;
  }
}
