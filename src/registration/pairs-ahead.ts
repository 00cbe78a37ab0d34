import type { RegistrationPicture } from './coarse-shift.js';
import { registersFast } from './fast-windows.js';
import type { SimilarityFit } from './fit-similarity.js';
import type { RegistrationFrame } from './plain-shifts.js';
import { registerPair } from './register-pair.js';
import { IDENTITY } from './similarity.js';

type Pixels = RegistrationFrame['pixels'];

/** Fits from no move found before, by the pixels of both frames: kept as long as those are. */
const known = new WeakMap<Pixels, WeakMap<Pixels, SimilarityFit | null>>();

/** {@link registerPair} of two frames from no move, once. */
export function pairInPlace(a: RegistrationFrame, b: RegistrationFrame): SimilarityFit | null {
  let fits = known.get(a.pixels);
  if (!fits) known.set(a.pixels, fits = new WeakMap());
  let fit = fits.get(b.pixels);
  if (fit === undefined) fits.set(b.pixels, fit = registerPair(a, b, [IDENTITY]));
  return fit;
}

/**
 * Registers frames while others are still read, each with the next two in file order: along the depth axis, these are the neighbours of most
 * stacks. Where the kernel is missing it would take as long as reading, and is left for later.
 */
export class PairsAhead {
  private readonly frames = new Map<number, RegistrationFrame>();

  /** @param place in file order; frames may come in any */
  add(place: number, picture: RegistrationPicture): void {
    if (!registersFast()) return;
    this.frames.set(place, { ...picture, spectra: new Map() });
    for (const from of [place - 2, place - 1, place]) for (const to of from === place ? [place + 1, place + 2] : [place]) {
      const a = this.frames.get(from), b = this.frames.get(to);
      if (a && b) pairInPlace(a, b);
    }
  }
}
