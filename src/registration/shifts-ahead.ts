import type { PixelShift, RegistrationPicture } from './coarse-shift.js';
import { fastCoarseShift, type FastCoarseShift } from './fast-coarse.js';

type Pixels = RegistrationPicture['pixels'];

/** Shifts found before, by the pixels of the reference and of the other frame: kept as long as those are. */
const known = new WeakMap<Pixels, WeakMap<Pixels, PixelShift>>();

/** Whole-picture shift against a reference, where it was found while frames were read. */
export function knownShift(reference: RegistrationPicture, picture: RegistrationPicture): PixelShift | undefined {
  return known.get(reference.pixels)?.get(picture.pixels);
}

/** Finds whole-picture shifts while other frames are still read. Where the kernel is missing that would hold up reading, and is left for later. */
export class ShiftsAhead {
  private waiting: RegistrationPicture[] = [];
  private reference: RegistrationPicture | null = null;
  private correlation: FastCoarseShift | null = null;

  private left: number;

  /**
   * @param referencePlace the frame in file order that the others are compared with
   * @param frames how many there will be
   */
  constructor(private readonly referencePlace: number, frames: number) { this.left = frames; }

  /** @param place in file order; frames may come in any */
  add(place: number, picture: RegistrationPicture): void {
    if (place === this.referencePlace) this.reference = picture; else this.waiting.push(picture);
    this.left--;
    // By two, as long as others are to come: a transform takes a pair in the time of one.
    while (this.reference && this.waiting.length >= (this.left > 0 ? 2 : 1)) {
      const both = this.waiting.splice(0, 2), { reference } = this;
      if (!this.correlation?.holds()) this.correlation = fastCoarseShift(reference);
      if (!this.correlation) return;
      let shifts = known.get(reference.pixels);
      if (!shifts) known.set(reference.pixels, shifts = new WeakMap());
      const found = this.correlation.of(both[0], both[1]);
      both.forEach(({ pixels }, n) => shifts.set(pixels, found[n]));
    }
  }
}
