// AssemblyScript, compiled to SIMD WebAssembly by scripts/build.mjs: src/diagnosis/plain-lasting-change.ts and the loops of src/diagnosis/cannot-tell.ts, by the same arithmetic;
// tests/unit/fast-diagnosis.test.ts holds the two together.

@inline function at(values: usize, i: i32): f64 { return load<f64>(values + (<usize>i << 3)); }
@inline function put(values: usize, i: i32, value: f64): void { store<f64>(values + (<usize>i << 3), value); }
@inline function plane(values: usize, i: i32): f64 { return <f64>load<f32>(values + (<usize>i << 2)); }

/**
 * Mean brightness of blocks of `edge` × `edge` tiles, one line of f64 a block, of those with `edge` tiles inside all frames at least.
 * @param change f32, tile × frame; @param inside u8 a tile
 * @returns how many blocks
 */
export function blockBrightness(change: usize, inside: usize, gridRows: i32, gridColumns: i32, frames: i32, edge: i32, out: usize): i32 {
  let blocks = 0;
  for (let top = 0; top < gridRows; top += edge) for (let left = 0; left < gridColumns; left += edge) {
    let n = 0;
    memory.fill(out, 0, <usize>frames << 3);
    for (let r = top, bottom = min(gridRows, top + edge); r < bottom; r++) for (let c = left, right = min(gridColumns, left + edge); c < right; c++) {
      const t = r * gridColumns + c;
      if (!load<u8>(inside + t)) continue;
      n++;
      const from = change + (<usize>(t * frames) << 2);
      for (let k = 0; k < frames; k++) put(out, k, at(out, k) + plane(from, k));
    }
    if (n < edge) continue;
    for (let k = 0; k < frames; k++) put(out, k, at(out, k) / <f64>n);
    blocks++;
    out += <usize>frames << 3;
  }
  return blocks;
}

/**
 * Blocks whose light in some frames jumps by more than is allowed, and clearly against what constant, depth and jump leave of it.
 * @param frame i32: `n` frames; @param step, constant, depth f64: axes over them
 */
export function changedBlocks(blocks: usize, count: i32, frames: i32, frame: usize, n: i32, step: usize, constant: usize, depth: usize, allowed: f64, clear: f64): i32 {
  let stepSquare: f64 = 0, changed = 0;
  for (let i = 0; i < n; i++) stepSquare += at(step, i) * at(step, i);
  for (let b = 0; b < count; b++, blocks += <usize>frames << 3) {
    let jump: f64 = 0;
    for (let i = 0; i < n; i++) jump += at(step, i) * at(blocks, load<i32>(frame + (<usize>i << 2)));
    jump /= stepSquare;
    if (abs<f64>(jump) <= allowed) continue;
    let square: f64 = 0, ofConstant: f64 = 0, ofDepth: f64 = 0;
    for (let i = 0; i < n; i++) {
      const y = at(blocks, load<i32>(frame + (<usize>i << 2)));
      square += y * y; ofConstant += at(constant, i) * y; ofDepth += at(depth, i) * y;
    }
    const left = max<f64>(0, square - (ofConstant * ofConstant + ofDepth * ofDepth) - jump * jump * stepSquare);
    if (abs<f64>(jump) * sqrt<f64>(stepSquare) > clear * sqrt<f64>(left / <f64>(n - 3))) changed++;
  }
  return changed;
}

/**
 * Squared differences of the tiles' amplitudes in one band from their means, and from the fitted curves, weighted: added to two f64 at `sums`.
 * @param energy, robust, residual, sigma f32, tile × frame; @param weight, peak f64 a tile; @param noise f64 a frame
 */
export function addExplained(energy: usize, robust: usize, residual: usize, sigma: usize, tiles: i32, frames: i32, weight: usize, peak: usize, noise: usize, sums: usize): void {
  let constant = at(sums, 0), fitted = at(sums, 1);
  for (let t = 0; t < tiles; t++) {
    let mean: f64 = 0, aboutMean: f64 = 0, left: f64 = 0;
    for (let k = 0; k < frames; k++) mean += sqrt<f64>(plane(energy, k));
    mean /= <f64>frames;
    for (let k = 0; k < frames; k++) {
      if (plane(robust, k) == 0) continue;
      const off = sqrt<f64>(plane(energy, k)) - mean, error = plane(residual, k) * plane(sigma, k);
      aboutMean += off * off;
      left += min<f64>(error * error, at(peak, t) + at(noise, k));
    }
    constant += at(weight, t) * aboutMean;
    fitted += at(weight, t) * left;
    const line = <usize>frames << 2;
    energy += line; robust += line; residual += line; sigma += line;
  }
  put(sums, 0, constant); put(sums, 1, fitted);
}
