/**
 * Ends the process by a signal as if nobody listened for it. `process.exit` would wait for a thread that waits for a drive, for as long as that does.
 * Who asks in a shell sees 128 + the signal's number.
 * @param status handed to those who clear away when the process ends
 */
export function endBySignal(name: NodeJS.Signals, status: number): void {
  process.emit('exit', status);
  process.removeAllListeners(name);
  process.kill(process.pid, name);
}
