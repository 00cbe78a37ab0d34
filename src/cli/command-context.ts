/** What a command may know of the outside: handed in, so that tests can run commands without a process. */
export interface CommandContext {
  stdout: Terminal;
  stderr: Terminal;
  env: Readonly<Record<string, string | undefined>>;
  /** Fires on Ctrl-C; pass it to everything that takes long. */
  signal: AbortSignal;
  /** The status the process ends with: 0 keep, 1 frames missing, 2 undecided, 3 could not run. */
  setExitCode(code: number): void;
}

export interface Terminal {
  write(text: string): void;
  isTTY: boolean;
  /** Characters a line may hold; 80 where there is no terminal to ask. */
  columns: number;
}

type Stream = Pick<NodeJS.WriteStream, 'write' | 'isTTY' | 'columns'>;

/** Wraps a process stream; the width is asked anew each time, because windows are resized. */
export function terminalOf(stream: Stream): Terminal {
  return {
    write: (text) => { stream.write(text); },
    get isTTY() { return stream.isTTY === true; },
    get columns() { return stream.isTTY && stream.columns > 0 ? stream.columns : 80; },
  };
}

/** Colour only where a terminal shows it and nobody objects (no-color.org). */
export function wantsColour(terminal: Terminal, env: CommandContext['env']): boolean {
  return terminal.isTTY && !env['NO_COLOR'] && env['TERM'] !== 'dumb';
}
