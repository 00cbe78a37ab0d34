/** Seeded random numbers (32-bit mixing counter): the same seed gives the same stream on every machine. */
export class Random {
  private state: number;
  constructor(seed: number) {
    this.state = (seed ^ 0x9e3779b9) >>> 0;
    for (let i = 0; i < 8; i++) this.bits();
  }

  /** 32 random bits as an unsigned integer. */
  bits(): number {
    this.state = (this.state + 0x6d2b79f5) >>> 0;
    let mixed = this.state;
    mixed = Math.imul(mixed ^ (mixed >>> 15), mixed | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return (mixed ^ (mixed >>> 14)) >>> 0;
  }

  /** Uniform in [low, high). */
  between(low: number, high: number): number { return low + (high - low) * (this.bits() / 4294967296); }

  /** Whole number in [low, high). */
  whole(low: number, high: number): number { return Math.floor(this.between(low, high)); }

  pick<T>(choices: readonly T[]): T { return choices[this.whole(0, choices.length)]; }

  /** Gaussian, mean 0, variance 1. */
  normal(): number {
    const radius = Math.sqrt(-2 * Math.log(1 - this.between(0, 1)));
    return radius * Math.cos(2 * Math.PI * this.between(0, 1));
  }

  /** A new order of 0 … count−1. */
  shuffle(count: number): number[] {
    const order = Array.from({ length: count }, (_, i) => i);
    for (let i = count - 1; i > 0; i--) {
      const j = this.whole(0, i + 1);
      [order[i], order[j]] = [order[j], order[i]];
    }
    return order;
  }
}
