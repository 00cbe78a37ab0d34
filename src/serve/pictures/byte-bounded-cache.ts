/** Least-recently-used cache bounded by the bytes of what it holds. Values still being made count once they are there. */
export class ByteBoundedCache<T> {
  private readonly entries = new Map<string, { value: Promise<T>; bytes: number }>();
  private held = 0;
  constructor(private readonly maxBytes: number, private readonly bytesOf: (value: T) => number) {}

  /** The cached value, or the one `make` gives; a failure is not kept. */
  async get(key: string, make: () => Promise<T>): Promise<T> {
    const known = this.entries.get(key);
    if (known) {
      this.entries.delete(key);
      this.entries.set(key, known);
      return known.value;
    }
    const entry = { value: make(), bytes: 0 };
    this.entries.set(key, entry);
    try {
      const value = await entry.value;
      if (this.entries.get(key) === entry) {
        entry.bytes = this.bytesOf(value);
        this.held += entry.bytes;
        this.shrink(key);
      }
      return value;
    } catch (error) {
      if (this.entries.get(key) === entry) this.entries.delete(key);
      throw error;
    }
  }

  clear(): void {
    this.entries.clear();
    this.held = 0;
  }

  private shrink(keep: string): void {
    for (const [key, entry] of this.entries) {
      if (this.held <= this.maxBytes) return;
      if (key === keep || entry.bytes === 0) continue;
      this.entries.delete(key);
      this.held -= entry.bytes;
    }
  }
}
