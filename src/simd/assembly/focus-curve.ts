// AssemblyScript, compiled to SIMD WebAssembly by scripts/build.mjs: the sums of src/ladder/otf-table.ts, focus-curve.ts, window-leakage.ts and sharpen-spectrum.ts by the same arithmetic, two places at a
// time; tests/unit/fast-spectrum.test.ts holds them together.

@inline function at(values: usize, i: i32): f64 { return load<f64>(values + (i << 3)); }
@inline function put(values: usize, i: i32, value: f64): void { store<f64>(values + (i << 3), value); }

/**
 * What a band gathers at each defocus, and how far that is its own detail in focus.
 *
 * @param squared f64, frequency × defocus: OTF²; `s`, `weights`: f64 a frequency
 * @param sharp, kinship f64 a defocus; there is room for one more behind them
 * @returns the kinship in focus
 */
export function curveSums(squared: usize, s: usize, weights: usize, frequencies: i32, count: i32, sharp: usize, kinship: usize): f64 {
  let own: f64 = 0;
  memory.fill(sharp, 0, (count + 1) << 3);
  memory.fill(kinship, 0, (count + 1) << 3);
  for (let i = 0; i < frequencies; i++) {
    const w = at(weights, i);
    if (w === 0) continue;
    const line = squared + ((i * count) << 3), focused = w * load<f64>(line), perComponent = focused / (at(s, i) * at(s, i)), ww = f64x2.splat(w), cross = f64x2.splat(w * perComponent);
    own += focused * perComponent;
    for (let j: usize = 0, end = <usize>count << 3; j < end; j += 16) {
      const v = v128.load(line + j);
      v128.store(sharp + j, f64x2.add(v128.load(sharp + j), f64x2.mul(ww, v)));
      v128.store(kinship + j, f64x2.add(v128.load(kinship + j), f64x2.mul(cross, v)));
    }
  }
  return own;
}

/**
 * A curve spread out by a kernel: mirrored about zero defocus; beyond the last the last value holds.
 *
 * @param weight f64: middle and one side, `reach` + 1 of them, `stride` places apart
 * @param room f64: count + 2 · reach · stride + 3
 * @param out f64; there is room for one more behind it
 */
export function spreadOut(curve: usize, count: i32, weight: usize, reach: i32, stride: i32, room: usize, out: usize): void {
  const wide = reach * stride, last = at(curve, count - 1);
  for (let i = 1; i <= wide; i++) put(room, wide - i, i < count ? at(curve, i) : last);
  memory.copy(room + (wide << 3), curve, count << 3);
  for (let i = wide + count, end = count + 2 * wide + 3; i < end; i++) put(room, i, last);
  for (let j = 0; j < count; j += 2) {
    const middle = room + ((j + wide) << 3);
    let sum = f64x2.mul(f64x2.splat(load<f64>(weight)), v128.load(middle));
    for (let i = 1, apart: usize = <usize>stride << 3; i <= reach; i++, apart += <usize>stride << 3) {
      sum = f64x2.add(sum, f64x2.mul(f64x2.splat(at(weight, i)), f64x2.add(v128.load(middle - apart), v128.load(middle + apart))));
    }
    v128.store(out + (j << 3), sum);
  }
}

function seen(line: usize, from: i32, to: i32, spectrum: usize): f64 {
  let sum: f64 = 0;
  for (let r = from; r < to; r++) sum += at(line, r) * at(spectrum, r);
  return sum;
}

/**
 * Richardson and Lucy's iteration on radial bins.
 *
 * @param leakage f64, bin × radius; `rings`: i32 pairs a bin, the radii from … to that it sees; `some`: i32, bins that count; `measured`: f64 a bin
 * @param spectrum f64 a radius, where to start from; changed in place
 * @param room f64: twice the radii
 */
export function sharpen(leakage: usize, rings: usize, radii: i32, some: usize, count: i32, measured: usize, rounds: i32, least: f64, spectrum: usize, room: usize): void {
  const factor = room, weight = room + (radii << 3);
  for (let round = 0; round < rounds; round++) {
    memory.fill(room, 0, radii << 4);
    for (let n = 0; n < count; n++) {
      const bin = load<i32>(some + (n << 2)), from = load<i32>(rings + (bin << 3)), to = load<i32>(rings + (bin << 3), 4), line = leakage + ((bin * radii) << 3);
      const ratio = at(measured, bin) / max<f64>(seen(line, from, to, spectrum), 1e-15);
      for (let r = from; r < to; r++) { const v = at(line, r); put(factor, r, at(factor, r) + v * ratio); put(weight, r, at(weight, r) + v); }
    }
    for (let r = 0; r < radii; r++) if (at(weight, r) > least) put(spectrum, r, at(spectrum, r) * (at(factor, r) / at(weight, r)));
  }
}

/**
 * Squares of sums of cosines of 0, x, 2x, …, each made of the two before it: cos (j+1)x = 2·cos x·cos jx − cos (j−1)x.
 *
 * @param shares, twices f64, line × node, a multiple of four: what a node's cosines are multiplied with, and 2·cos x
 * @param out f64, line × count; there is room for one number behind it
 */
export function otfSquares(shares: usize, twices: usize, lines: i32, nodes: i32, count: i32, out: usize): void {
  const bytes = <usize>count << 3;
  for (let i = 0; i < lines; i++, out += bytes) {
    memory.fill(out, 0, bytes);
    for (let q = 0; q < nodes; q += 4, shares += 32, twices += 32) {
      const a = v128.load(shares), b = v128.load(shares, 16), twiceA = v128.load(twices), twiceB = v128.load(twices, 16), half = f64x2.splat(0.5);
      let beforeA = f64x2.mul(half, twiceA), beforeB = f64x2.mul(half, twiceB), hereA = f64x2.splat(1), hereB = hereA;
      for (let at: usize = 0; at < bytes; at += 8) {
        const sum = f64x2.add(f64x2.mul(a, hereA), f64x2.mul(b, hereB));
        store<f64>(out + at, load<f64>(out + at) + (f64x2.extract_lane(sum, 0) + f64x2.extract_lane(sum, 1)));
        const nextA = f64x2.sub(f64x2.mul(twiceA, hereA), beforeA), nextB = f64x2.sub(f64x2.mul(twiceB, hereB), beforeB);
        beforeA = hereA; hereA = nextA; beforeB = hereB; hereB = nextB;
      }
    }
    for (let at: usize = 0; at < bytes; at += 8) store<f64>(out + at, load<f64>(out + at) * load<f64>(out + at));
  }
}

/**
 * What the radial bins of a window see, not yet divided by their sums.
 *
 * @param edge of the window in frequency cells; @param offsets, power f64: how far it leaks to, in cells, and how much; @param parts radii a cell
 * @param out f64, edge/2 bins × radii
 */
export function leak(edge: i32, offsets: usize, power: usize, count: i32, parts: i32, radii: i32, out: usize): void {
  const bins = edge >> 1;
  memory.fill(out, 0, (bins * radii) << 3);
  for (let x = 0; x <= bins; x++) for (let y = -bins; y < bins; y++) {
    const bin = <i32>sqrt<f64>(<f64>(x * x + y * y));
    if (bin >= bins) continue;
    const line = out + ((bin * radii) << 3);
    for (let i = 0; i < count; i++) for (let j = 0, across = <f64>x + at(offsets, i); j < count; j++) {
      const down = <f64>y + at(offsets, j), radius = <i32>(<f64>parts * sqrt<f64>(across * across + down * down) + 0.5);
      if (radius < radii) put(line, radius, at(line, radius) + at(power, i) * at(power, j));
    }
  }
}
