// Runs the analysis in this process and prints the milliseconds of each stage as JSON; decode and measure are summed over workers.
import { openFolder } from '../../dist/io/open-folder.js';
import { startKernels } from '../../dist/io/start-kernels.js';
import { solveStack } from '../../dist/pipeline/solve-stack.js';

// As the thread that checks does: without them registering and solving run as plain code.
const [source] = await Promise.all([openFolder(process.argv[2]), startKernels()]);
let spent;
const watched = {
  folder: source.folder, frames: source.frames,
  measure: async (...args) => { spent = await source.measure(...args); return spent; },
};
const option = (value) => ({ value, source: 'option' });
const rig = { magnification: option(5), fNumber: option(2.8), pixelPitchUm: option(3.9) };
const { timing } = await solveStack(watched, { rig, overlap: 0.3, outputWidthPx: null });
console.log(JSON.stringify({ decodeMs: spent.decodeMs, measureMs: spent.measureMs, registerMs: timing.registerMs, solveMs: timing.solveMs }));
