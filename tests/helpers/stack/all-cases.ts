import { breathed } from './breathing-cases.js';
import * as camera from './camera-cases.js';
import { ledgesStack } from './ledges-cases.js';
import type { PlannedStack } from './planned-stack.js';
import * as subject from './subject-cases.js';
import { tripodStack } from './tripod-cases.js';

export interface StackCase {
  table: 'tripod' | 'field';
  /** File in this folder that defines it. */
  definedIn: string;
  seeds: number[];
  /** What this file adds to the definition, as text. */
  recipe?: string;
  plan: (seed: number) => PlannedStack;
}

const seeds = (first: number, count: number) => Array.from({ length: count }, (_, k) => first + k);
const tripod = (surface: 'plane' | 'dome' | 'ridges' | 'relief', first: number): StackCase =>
  ({ table: 'tripod', definedIn: 'tripod-cases.ts', seeds: seeds(first, 8), plan: (seed) => tripodStack(surface, seed) });

// Of each six, the second (2.5× f/4, with a gap), the first (5× f/2.8, without), the fourth (5× f/4, with one).
let next = 600;
const field = (definedIn: string, plan: (seed: number) => PlannedStack, recipe?: string): StackCase => {
  next += 6;
  return { table: 'field', definedIn, seeds: [next + 1, next, next + 3], plan, recipe };
};
const ofCamera = (plan: (seed: number) => PlannedStack) => field('camera-cases.ts', plan);
const ofSubject = (plan: (seed: number) => PlannedStack) => field('subject-cases.ts', plan);
const process = (name: string, change: (stack: PlannedStack) => void, base = {}) =>
  field('camera-cases.ts', (seed) => camera.processed(name, seed, change, base), `${change} ${JSON.stringify(base)}`);

/** Every kind of stack the renderer knows, by name; the seed decides set-up, texture, noise and steps. */
export const CASES: Record<string, StackCase> = {
  plane: tripod('plane', 100),
  dome: tripod('dome', 200),
  ridges: tripod('ridges', 300),
  relief: tripod('relief', 400),
  ledges: { table: 'tripod', definedIn: 'ledges-cases.ts', seeds: seeds(500, 8), plan: ledgesStack },
  handheld: ofCamera((seed) => camera.handheld(seed, false)),
  shuffled: ofCamera((seed) => camera.handheld(seed, true)),
  'topped-up': ofCamera(camera.toppedUp),
  'far-first': ofCamera(camera.farFirst),
  repeats: ofCamera(camera.repeats),
  bumped: ofCamera(camera.bumped),
  shaken: ofCamera(camera.shaken),
  flash: ofCamera(camera.wanderingFlash),
  dusty: ofCamera(camera.dusty),
  mosaic: process('mosaic', (s) => { s.sensor.mosaic = true; }),
  sharpened: process('sharpened', (s) => { s.sensor.mosaic = true; s.sensor.sharpening = 0.9; }),
  denoised: process('denoised', (s) => { s.sensor.mosaic = true; s.sensor.noiseReductionPx = 1.2; s.sensor.fullWellElectrons = 6000; }),
  'high-iso': process('high-iso', (s) => { s.sensor.fullWellElectrons = 2500; s.sensor.readNoiseElectrons = 5; }),
  'small-jpeg': process('small-jpeg', (s) => { s.jpeg = { quality: 85, chromaSubsampling: '4:2:0' }; }),
  lopsided: process('lopsided', () => undefined, { lens: { sphericalWaves: 0.5 } }),
  'optics-unknown': process('optics-unknown', (s) => { s.opticsKnown = false; }),
  downsized: process('downsized', (s) => { s.opticsKnown = false; s.shrink = 3; s.lens.sphericalWaves = 0.3; }, { picture: { rows: 1920, columns: 1920 }, lens: { magnification: 5, fNumber: 2.8 } }),
  'downsized-wide': process('downsized-wide', (s) => { s.opticsKnown = false; s.shrink = 4; s.sensor.sharpening = 0.5; }, { picture: { rows: 960, columns: 1920 }, lens: { magnification: 2.5, fNumber: 2.8 }, surface: 'relief' }),
  'small-aperture': process('small-aperture', (s) => { s.opticsKnown = false; }, { lens: { magnification: 5, fNumber: 8 } }),
  'open-near': process('open-near', () => undefined, { surface: 'plane', beyond: [-2.5, 0.15], gaps: {} }),
  'open-far': process('open-far', () => undefined, { surface: 'plane', beyond: [-0.15, 2.5], gaps: {} }),
  'eighty-frames': process('eighty-frames', () => undefined, { surface: 'plane', frames: 80, step: 0.45, gaps: { 40: 1.8 }, picture: { rows: 448, columns: 928 } }),
  hairs: ofSubject(subject.hairs),
  glints: ofSubject(subject.glints),
  'dark-ground': ofSubject(subject.darkGround),
  translucent: ofSubject(subject.translucent),
  moved: ofSubject(subject.moved),
  'two-subjects': ofSubject(subject.twoSubjects),
  blank: ofCamera((seed) => camera.hopeless('blank', seed)),
  'all-shaken': ofCamera((seed) => camera.hopeless('all-shaken', seed)),
  copies: ofCamera((seed) => camera.hopeless('copies', seed)),
  'one-depth': ofCamera((seed) => camera.hopeless('one-depth', seed)),
  breathing: field('breathing-cases.ts', (seed) => breathed(seed, 8, 1.008, { lens: { magnification: 1, fNumber: 8 }, picture: { rows: 448, columns: 928 } })),
};

export function planCase(name: string, seed: number): PlannedStack {
  const found = CASES[name];
  if (!found) throw new Error(`There is no case ${name}. Known: ${Object.keys(CASES).join(', ')}.`);
  return found.plan(seed);
}
