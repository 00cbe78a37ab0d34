// AssemblyScript, compiled to SIMD WebAssembly by scripts/build.mjs: sums of the errors that all tiles share, as src/ladder/plain-shared-sums.ts adds them up, by the same arithmetic;
// tests/unit/fast-shared-sums.test.ts holds the two together.

/** Written by src/ladder/fast-shared-sums.ts, which lists the fields in the same order: numbers as f64, then i32. */
@unmanaged class Shared {
  binDof: f64; curveError: f64; noiseError: f64; whisper: f64;
  tiles: i32; frames: i32; bands: i32; unknowns: i32; bins: i32;
  /** i32 band × frame: the frame's gain among the unknowns, −1 where it has none. */
  free: usize;
  /** f64 frame; tile; band × tile; band × frame. */
  z: usize; depth: usize; amplitude: usize; noise: usize;
  /** f32 band × tile × frame. */
  energy: usize; residual: usize; robust: usize; byZ: usize; byLn: usize; sigma: usize;
  /** f64 tile × own × unknowns; tile × own × own. */
  coupling: usize; tileNormal: usize;
  /** f64 out: pattern × pattern, of which the upper triangle is filled; pattern × unknowns; pattern. */
  normal: usize; pulls: usize; right: usize;
  /** Room: f64 pattern × own, twice; own × own. i32 pattern, twice. */
  ofTile: usize; solved: usize; factor: usize; touched: usize; isTouched: usize;
}

@inline function at(values: usize, i: i32): f64 { return load<f64>(values + (i << 3)); }
@inline function put(values: usize, i: i32, value: f64): void { store<f64>(values + (i << 3), value); }
@inline function add(values: usize, i: i32, value: f64): void { put(values, i, at(values, i) + value); }
@inline function entry(values: usize, i: i32): f64 { return <f64>load<f32>(values + (i << 2)); }

function factorise(matrix: usize, size: i32): void {
  for (let j = 0; j < size; j++) {
    const diagonal = at(matrix, j * size + j);
    let pivot = diagonal;
    for (let k = 0; k < j; k++) pivot -= at(matrix, j * size + k) * at(matrix, j * size + k);
    const floor = 1e-12 * abs(diagonal) + 1e-300, root = sqrt(pivot > floor ? pivot : floor);
    put(matrix, j * size + j, root);
    for (let i = j + 1; i < size; i++) {
      let v = at(matrix, i * size + j);
      for (let k = 0; k < j; k++) v -= at(matrix, i * size + k) * at(matrix, j * size + k);
      put(matrix, i * size + j, v / root);
    }
  }
}

function solve(factor: usize, size: i32, x: usize): void {
  for (let i = 0; i < size; i++) {
    let v = at(x, i);
    for (let j = 0; j < i; j++) v -= at(factor, i * size + j) * at(x, j);
    put(x, i, v / at(factor, i * size + i));
  }
  for (let i = size - 1; i >= 0; i--) {
    let v = at(x, i);
    for (let j = i + 1; j < size; j++) v -= at(factor, j * size + i) * at(x, j);
    put(x, i, v / at(factor, i * size + i));
  }
}

/** What one entry adds to a pattern, and whether it is the first of its tile to. */
@inline function addEntry(job: Shared, p: i32, b: i32, k: i32, i: i32, free: i32, w: f64, error: f64, off: f64, some: i32): i32 {
  const own = 1 + job.bands, pulled = w * error, byZ = entry(job.byZ, i), byLn = entry(job.byLn, i), seen = job.isTouched + (p << 2);
  if (!load<i32>(seen)) { store<i32>(seen, 1); store<i32>(job.touched + (some << 2), p); some++; }
  add(job.normal, p * (job.bands * (job.bins + 1) + 1), pulled * error);
  add(job.right, p, pulled * off);
  add(job.pulls, p * job.unknowns + k, pulled * byZ);
  if (free >= 0) add(job.pulls, p * job.unknowns + free, pulled * byLn);
  add(job.ofTile, p * own, -pulled * byZ);
  add(job.ofTile, p * own + 1 + b, pulled * byLn);
  return some;
}

/** to −= value · from, over n places. */
@inline function takeOff(to: usize, from: usize, value: f64, n: i32): void {
  const by = f64x2.splat(value);
  let s = 0;
  for (; s + 2 <= n; s += 2) v128.store(to + (s << 3), f64x2.sub(v128.load(to + (s << 3)), f64x2.mul(by, v128.load(from + (s << 3)))));
  if (s < n) put(to, s, at(to, s) - value * at(from, s));
}

export function addShared(job: Shared): void {
  const frames = job.frames, bands = job.bands, bins = job.bins, each = bins + 1, own = 1 + bands, n = job.unknowns, patterns = bands * each, ofBand = job.tiles * frames;
  for (let t = 0; t < job.tiles; t++) {
    let some = 0;
    const depth = at(job.depth, t);
    for (let b = 0; b < bands; b++) {
      const amplitude = at(job.amplitude, b * job.tiles + t), noisy = b * each + bins;
      for (let k = 0, i = b * ofBand + t * frames; k < frames; k++, i++) {
        const w = entry(job.robust, i);
        if (w == 0) continue;
        const s = entry(job.sigma, i), off = entry(job.residual, i), model = max(1e-9, sqrt(entry(job.energy, i)) - off * s);
        const place = <i32>floor((at(job.z, k) - depth) / job.binDof) + bins / 2, curved = b * each + place;
        const curve = (job.curveError * amplitude) / s, noise = (job.noiseError * at(job.noise, b * frames + k)) / (2 * model * s), free = load<i32>(job.free + ((b * frames + k) << 2));
        if (place >= 0 && place < bins) {
          add(job.normal, curved * patterns + noisy, w * curve * noise);
          some = addEntry(job, curved, b, k, i, free, w, curve, off, some);
        }
        some = addEntry(job, noisy, b, k, i, free, w, noise, off, some);
      }
    }
    memory.copy(job.factor, job.tileNormal + ((t * own * own) << 3), (own * own) << 3);
    for (let i = 0; i < own; i++) add(job.factor, i * own + i, job.whisper);
    factorise(job.factor, own);
    for (let m = 0; m < some; m++) {
      const p = load<i32>(job.touched + (m << 2)), solved = job.solved + ((p * own) << 3);
      memory.copy(solved, job.ofTile + ((p * own) << 3), own << 3);
      solve(job.factor, own, solved);
      for (let i = 0; i < own; i++) takeOff(job.pulls + ((p * n) << 3), job.coupling + (((t * own + i) * n) << 3), at(solved, i), n);
      for (let l = 0; l <= m; l++) {
        const q = load<i32>(job.touched + (l << 2)), other = job.ofTile + ((q * own) << 3);
        let taken: f64 = 0;
        for (let i = 0; i < own; i++) taken += at(solved, i) * at(other, i);
        add(job.normal, min(p, q) * patterns + max(p, q), -taken);
      }
    }
    for (let m = 0; m < some; m++) {
      const p = load<i32>(job.touched + (m << 2));
      store<i32>(job.isTouched + (p << 2), 0);
      memory.fill(job.ofTile + ((p * own) << 3), 0, own << 3);
    }
  }
}
