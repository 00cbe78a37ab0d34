/** Guard for quantities that have to be a positive, finite number. @throws RangeError naming the quantity */
export function requirePositive(name: string, value: number): void {
  if (!(value > 0) || !Number.isFinite(value)) throw new RangeError(`${name} must be a positive number, got ${value}`);
}
