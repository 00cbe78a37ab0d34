#!/usr/bin/env node
// Loading the program takes a moment in which Ctrl-C would otherwise end it by the signal, and a script would not see 130.
const names = { SIGHUP: 1, SIGINT: 2, SIGTERM: 15 };
const stop = (name) => process.exit(128 + names[name]);
for (const name of Object.keys(names)) process.on(name, stop);
const { main } = await import('../dist/program/main.js');
// Listens for itself from its first line on.
const ended = main(process.argv.slice(2));
for (const name of Object.keys(names)) process.off(name, stop);
process.exitCode = await ended;
