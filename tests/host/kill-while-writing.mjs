// Preloaded into the program and its threads: kills the process in the middle of writing its so-many-th unfinished file (KILL_AT_WRITE), as a power cut would.
import { promises } from 'node:fs';
import { syncBuiltinESMExports } from 'node:module';

const write = promises.writeFile;
let begun = 0;
promises.writeFile = async (file, content, options) => {
  if (!String(file).endsWith('.part') || ++begun < Number(process.env.KILL_AT_WRITE)) return write(file, content, options);
  await write(file, content.subarray(0, content.length >> 1), options);
  process.kill(process.pid, 'SIGKILL');
  return new Promise(() => undefined);
};
syncBuiltinESMExports();
