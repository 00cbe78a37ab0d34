// Runs the whole check in this process as the command line does; prints milliseconds, the report's own times and peak memory as JSON.
import { readFileSync } from 'node:fs';
import { main } from '../../dist/program/main.js';

const [folder, json] = process.argv.slice(2);
const began = performance.now();
const status = await main(['check', folder, '--magnification', '5', '--aperture', '2.8', '--pixel-pitch', '3.9', '--json', json, '--quiet', '--no-cache']);
const ms = performance.now() - began;
if (status === 3) process.exit(3);
const { timing, verdict } = JSON.parse(readFileSync(json, 'utf8'));
console.log(JSON.stringify({ ms, timing, decision: verdict.decision, peakMb: process.resourceUsage().maxRSS / 1024 }));
