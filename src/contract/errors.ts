/** An error a photographer can act on: `message` says what is wrong, `remedy` what to do about it. Shown in one line, without a stack. */
export class UserError extends Error {
  readonly remedy: string;
  constructor(message: string, remedy: string) {
    super(message);
    this.name = 'UserError';
    this.remedy = remedy;
  }
  /** One line for a terminal or a dialog. */
  get line(): string { return `${this.message} ${this.remedy}`.trim(); }
}

/** The user, or the window, asked for the work to stop. Not a fault. */
export class CancelledError extends Error {
  constructor() { super('Cancelled.'); this.name = 'CancelledError'; }
}
