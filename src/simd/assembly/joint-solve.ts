// AssemblyScript, compiled to SIMD WebAssembly by scripts/build.mjs: the tiles' part of the joint solve, four frames at a time. The same
// arithmetic as src/ladder/plain-tile-pass.ts in single precision (sums over tiles and a tile's own small system in double);
// tests/unit/fast-ladder.test.ts holds the two together. Over 200 lines: the compiler inlines across these functions only where they stand in one file.
import { less, plus } from './fused';

export function heapStart(): usize { return __heap_base; }

/** What a solve works on. All but counts and sizes are addresses; written by src/simd/fast-tile-pass.ts, which lists the fields in the same order. */
@unmanaged class Solve {
  /** `frames` is a multiple of four, what fills it up has no weight; `slots`: frames, then band × free gain, again filled up to a multiple of four. */
  tiles: i32; frames: i32; bands: i32; free: i32; slots: i32; spreadBytes: i32; curveBytes: i32;
  /** f32, band × tile × frame: energies until {@link prepare} takes their roots. */
  root: usize; weight: usize;
  /** i32 pairs, band × tile, and the bands of a tile together: frames from … to that have any weight, in fours. */
  range: usize; reach: usize;
  /** f32: band × spread × defocus × (energy, next energy, slope, next slope), and band × defocus. */
  curve: usize; kinship: usize;
  /** band × tile: i32 byte offset of the lower spread, f32 fraction towards the next. */
  spread: usize; fraction: usize;
  /** f32: band × tile, and a band each. */
  around: usize; chance: usize;
  /** f32, band × frame: noise energy, its part of a residual's variance, energy gain. */
  noise: usize; noisePart: usize; gain: usize;
  /** f64. */
  z: usize; step: usize;
  /** i32 frame numbers. */
  freeFrame: usize;
  /** f64: a tile each; band pairs × (mean, 1/variance). */
  pull: usize; prior: usize;
  /** f64, band × tile: how much deeper than the tile's depth the ground lies that the band sees. */
  bend: usize;
  /** f64: tile, and band × tile, as accepted and as tried. */
  depth: usize; nextDepth: usize; ln: usize; nextLn: usize;
  /** Per tile: f32 4 × slots coupling, then f64 4 × 4 normal matrix, 4 right side, 4 × 4 factor. */
  system: usize; nextSystem: usize;
  /** f64: cost by the accepted state's sigmas, cost by its own, then slots × diagonal, slots × right side, band × free cross terms. */
  sums: usize;
  /** f64: slots × slots, lower triangle, and slots. */
  schur: usize; schurRight: usize;
  /** f32: 4 × slots, and 3 × frames. */
  whitened: usize; line: usize;
  /** f32, band × tile × frame, and f64 a tile each. */
  residual: usize; robust: usize; byZ: usize; byLn: usize; sigma: usize; misfit: usize;
  /** f64: relative model error, Huber's limit, table places per DOF, last place. */
  laws: usize;
}

const MATRIX: i32 = 0, RIGHT: i32 = 128, FACTOR: i32 = 160, OWN_BYTES: i32 = 288;

@inline function systemOf(job: Solve, all: usize, t: i32): usize { return all + t * ((job.slots << 4) + OWN_BYTES); }

/** Takes the roots of the energies, and finds which frames of a tile have weight; less than `negligible` is none. */
export function prepare(job: Solve, negligible: f32): void {
  const least = f32x4.splat(negligible);
  for (let t = 0; t < job.tiles; t++) { store<i32>(job.reach + (t << 3), job.frames); store<i32>(job.reach + (t << 3), 0, 4); }
  for (let b = 0, place = 0; b < job.bands; b++) for (let t = 0; t < job.tiles; t++, place++) {
    let from = job.frames, to = 0;
    for (let k = 0; k < job.frames; k += 4) {
      const at = (place * job.frames + k) << 2, w = v128.load(job.weight + at), counts = f32x4.ge(w, least);
      v128.store(job.root + at, f32x4.sqrt(v128.load(job.root + at)));
      v128.store(job.weight + at, v128.and(w, counts));
      if (!v128.any_true(counts)) continue;
      if (from > k) from = k;
      to = k + 4;
    }
    if (to === 0) from = 0;
    store<i32>(job.range + (place << 3), from);
    store<i32>(job.range + (place << 3), to, 4);
    const reach = job.reach + (t << 3);
    if (to === 0) continue;
    store<i32>(reach, min(load<i32>(reach), from));
    store<i32>(reach, max(load<i32>(reach, 4), to), 4);
  }
  for (let t = 0; t < job.tiles; t++) if (load<i32>(job.reach + (t << 3), 4) === 0) store<i32>(job.reach + (t << 3), 0);
}

/**
 * Tries the tiles where a step of the frames takes them (`move`; else where they are), and adds up cost, normal equations and what
 * eliminating the tiles at a damping takes from the frames' system. With `keep`, every entry's residual and derivatives are written too.
 */
export function tryTiles(job: Solve, move: bool, damping: f64, keep: bool): void {
  clear(job);
  memory.fill(job.sums, 0, (2 + 2 * job.slots + job.bands * job.free) << 3);
  for (let t = 0; t < job.tiles; t++) {
    moveTile(job, t, move);
    evaluateTile(job, t, keep);
    eliminateTile(job, t, job.nextSystem, damping);
  }
}

/** Eliminates the tiles again, as accepted, at another damping. */
export function eliminateAgain(job: Solve, damping: f64): void {
  clear(job);
  for (let t = 0; t < job.tiles; t++) eliminateTile(job, t, job.system, damping);
}

function clear(job: Solve): void {
  memory.fill(job.schur, 0, (job.slots * job.slots) << 3);
  memory.fill(job.schurRight, 0, job.slots << 3);
}

@inline function clamped(value: f64): f64 { return max<f64>(-0.7, min<f64>(0.7, value)); }

function moveTile(job: Solve, t: i32, move: bool): void {
  let c0: f64 = 0, c1: f64 = 0, c2: f64 = 0, c3: f64 = 0;
  if (move) {
    const at = systemOf(job, job.system, t), lineBytes = job.slots << 2, own = at + (lineBytes << 2), reach = job.reach + (t << 3);
    let a0 = f32x4.splat(0), a1 = a0, a2 = a0, a3 = a0;
    for (let part = 0; part < 2; part++) {
      const from = part ? job.frames : load<i32>(reach), to = part ? job.slots : load<i32>(reach, 4);
      for (let s = from; s < to; s += 4) {
        const c = at + (s << 2), m = job.step + (s << 3);
        const moves = v128.shuffle<f32>(f32x4.demote_f64x2_zero(v128.load(m)), f32x4.demote_f64x2_zero(v128.load(m, 16)), 0, 1, 4, 5);
        a0 = plus(moves, v128.load(c), a0);
        a1 = plus(moves, v128.load(c + lineBytes), a1);
        a2 = plus(moves, v128.load(c + 2 * lineBytes), a2);
        a3 = plus(moves, v128.load(c + 3 * lineBytes), a3);
      }
    }
    const right = own + RIGHT, l = own + FACTOR;
    c0 = (load<f64>(right) - sumOf(a0)) / load<f64>(l);
    c1 = (load<f64>(right, 8) - sumOf(a1) - load<f64>(l, 32) * c0) / load<f64>(l, 40);
    c2 = (load<f64>(right, 16) - sumOf(a2) - load<f64>(l, 64) * c0 - load<f64>(l, 72) * c1) / load<f64>(l, 80);
    c3 = (load<f64>(right, 24) - sumOf(a3) - load<f64>(l, 96) * c0 - load<f64>(l, 104) * c1 - load<f64>(l, 112) * c2) / load<f64>(l, 120);
    c3 = c3 / load<f64>(l, 120);
    c2 = (c2 - load<f64>(l, 112) * c3) / load<f64>(l, 80);
    c1 = (c1 - load<f64>(l, 72) * c2 - load<f64>(l, 104) * c3) / load<f64>(l, 40);
    c0 = (c0 - load<f64>(l, 32) * c1 - load<f64>(l, 64) * c2 - load<f64>(l, 96) * c3) / load<f64>(l);
  }
  store<f64>(job.nextDepth + (t << 3), load<f64>(job.depth + (t << 3)) + clamped(c0));
  for (let b = 0; b < job.bands; b++) {
    const at = (b * job.tiles + t) << 3;
    store<f64>(job.nextLn + at, load<f64>(job.ln + at) + clamped(b === 0 ? c1 : b === 1 ? c2 : c3));
  }
}

function evaluateTile(job: Solve, t: i32, keep: bool): void {
  const frames = job.frames, slots = job.slots, lineBytes = slots << 2, at = systemOf(job, job.nextSystem, t), own = at + (lineBytes << 2);
  const reach = job.reach + (t << 3), lo = load<i32>(reach), hi = load<i32>(reach, 4), free = job.free, line = job.line;
  for (let i = 0; i < 4; i++) {
    memory.fill(at + i * lineBytes + (lo << 2), 0, (hi - lo) << 2);
    memory.fill(at + i * lineBytes + (frames << 2), 0, (slots - frames) << 2);
  }
  memory.fill(line + (lo << 2), 0, (hi - lo) << 2);
  memory.fill(own, 0, OWN_BYTES);
  for (let i = job.bands + 1; i < 4; i++) store<f64>(own + i * 40, 1);
  const depth = load<f64>(job.nextDepth + (t << 3));
  const laws = job.laws, perStep = f32x4.splat(<f32>load<f64>(laws, 16)), last = f32x4.splat(<f32>load<f64>(laws, 24));
  const huber = load<f64>(laws, 8), square = f32x4.splat(<f32>(huber * huber)), half = f32x4.splat(0.5), one = f32x4.splat(1);
  const outerCost = f32x4.splat(<f32>(0.5 * huber * huber)), sign = i32x4.splat(0x80000000), error2 = load<f64>(laws) * load<f64>(laws);
  let zz: f64 = 0, zr: f64 = 0, heldAll: f64 = 0, costAll: f64 = 0, misfit: f64 = 0, total: f64 = 0;
  for (let b = 0; b < job.bands; b++) {
    const place = b * job.tiles + t, range = job.range + (place << 3), from = load<i32>(range), to = load<i32>(range, 4);
    const now = exp(load<f64>(job.ln + (place << 3))), next = exp(load<f64>(job.nextLn + (place << 3))), squared = <f32>(next * next);
    const d = f64x2.splat(depth + load<f64>(job.bend + (place << 3)));
    const heldVariance = f32x4.splat(<f32>(error2 * now * now)), variance = f32x4.splat(<f32>(error2 * next * next));
    const curve = job.curve + b * job.curveBytes + load<i32>(job.spread + (place << 2)), fraction = load<f32>(job.fraction + (place << 2));
    const spreads = job.spreadBytes, mixed = fraction > 0, f = f32x4.splat(fraction);
    const chance = load<f32>(job.chance + (b << 2)), around = f32x4.splat(load<f32>(job.around + (place << 2))), kinship = job.kinship + b * (job.spreadBytes >> 2);
    const entry = (place * frames) << 2, frame = (b * frames) << 2;
    const into = at + (1 + b) * lineBytes;
    let szz = f32x4.splat(0), szl = szz, sll = szz, szr = szz, slr = szz, held = szz, cost = szz, sMisfit = szz, sTotal = szz;
    for (let k = from; k < to; k += 4) {
      const o = k << 2, zk = job.z + (k << 3);
      const delta = v128.shuffle<f32>(f32x4.demote_f64x2_zero(f64x2.sub(v128.load(zk), d)), f32x4.demote_f64x2_zero(f64x2.sub(v128.load(zk, 16), d)), 0, 1, 4, 5);
      const x = f32x4.min(f32x4.mul(f32x4.abs(delta), perStep), last), j = i32x4.trunc_sat_f32x4_s(x), fx = f32x4.sub(x, f32x4.convert_i32x4_s(j));
      const j0 = i32x4.extract_lane(j, 0), j1 = i32x4.extract_lane(j, 1), j2 = i32x4.extract_lane(j, 2), j3 = i32x4.extract_lane(j, 3);
      let p0 = v128.load(curve + (j0 << 4)), p1 = v128.load(curve + (j1 << 4)), p2 = v128.load(curve + (j2 << 4)), p3 = v128.load(curve + (j3 << 4));
      if (mixed) {
        const wider = curve + spreads;
        p0 = plus(f, f32x4.sub(v128.load(wider + (j0 << 4)), p0), p0);
        p1 = plus(f, f32x4.sub(v128.load(wider + (j1 << 4)), p1), p1);
        p2 = plus(f, f32x4.sub(v128.load(wider + (j2 << 4)), p2), p2);
        p3 = plus(f, f32x4.sub(v128.load(wider + (j3 << 4)), p3), p3);
      }
      const p01 = v128.shuffle<f32>(p0, p1, 0, 4, 1, 5), p23 = v128.shuffle<f32>(p2, p3, 0, 4, 1, 5);
      const s01 = v128.shuffle<f32>(p0, p1, 2, 6, 3, 7), s23 = v128.shuffle<f32>(p2, p3, 2, 6, 3, 7);
      const e = v128.shuffle<f32>(p01, p23, 0, 1, 4, 5), eNext = v128.shuffle<f32>(p01, p23, 2, 3, 6, 7);
      const s = v128.shuffle<f32>(s01, s23, 0, 1, 4, 5), sNext = v128.shuffle<f32>(s01, s23, 2, 3, 6, 7);
      const g = plus(fx, f32x4.sub(eNext, e), e);
      const dg = v128.xor(plus(fx, f32x4.sub(sNext, s), s), v128.and(delta, sign));
      const gain = v128.load(job.gain + frame + o);
      let own2 = f32x4.mul(f32x4.splat(squared), gain), scale = own2;
      if (chance > 0) {
        let kin = v128.load32_zero(kinship + (j0 << 2));
        kin = v128.load_lane<f32>(kinship + (j1 << 2), kin, 1);
        kin = v128.load_lane<f32>(kinship + (j2 << 2), kin, 2);
        kin = v128.load_lane<f32>(kinship + (j3 << 2), kin, 3);
        const away = f32x4.mul(f32x4.splat(chance), f32x4.sub(one, kin));
        own2 = f32x4.mul(own2, f32x4.sub(one, away));
        scale = plus(f32x4.mul(away, around), gain, own2);
      }
      const model = f32x4.sqrt(plus(scale, g, v128.load(job.noise + frame + o))), perModel = f32x4.div(one, model);
      const noisePart = v128.load(job.noisePart + frame + o), perVariance = f32x4.div(one, f32x4.add(noisePart, variance)), perHeld = f32x4.div(one, f32x4.add(noisePart, heldVariance));
      const off = f32x4.sub(v128.load(job.root + entry + o), model), off2 = f32x4.mul(off, off), w = v128.load(job.weight + entry + o);
      const q = f32x4.mul(off2, perVariance), qHeld = f32x4.mul(off2, perHeld);
      const robust = f32x4.mul(w, f32x4.min(one, f32x4.div(square, f32x4.max(q, square))));
      held = plus(w, lossOf(qHeld, square, half, outerCost), held);
      cost = plus(w, lossOf(q, square, half, outerCost), cost);
      const byZ = f32x4.mul(f32x4.mul(half, scale), f32x4.mul(dg, perModel)), byLn = f32x4.mul(f32x4.mul(own2, g), perModel);
      const weighted = f32x4.mul(robust, perVariance), wz = f32x4.mul(weighted, byZ), wl = f32x4.mul(weighted, byLn);
      const wzz = f32x4.mul(wz, byZ), wzl = f32x4.mul(wz, byLn), wll = f32x4.mul(wl, byLn), wzr = f32x4.mul(wz, off), wlr = f32x4.mul(wl, off);
      szz = f32x4.add(szz, wzz); szl = f32x4.add(szl, wzl); sll = f32x4.add(sll, wll); szr = f32x4.add(szr, wzr); slr = f32x4.add(slr, wlr);
      v128.store(at + o, f32x4.sub(v128.load(at + o), wzz));
      v128.store(into + o, wzl);
      v128.store(line + o, f32x4.add(v128.load(line + o), wzr));
      if (free) { v128.store(line + (frames << 2) + o, wll); v128.store(line + (frames << 3) + o, wlr); }
      if (keep) {
        const perSigma = f32x4.sqrt(perVariance);
        v128.store(job.residual + entry + o, f32x4.mul(off, perSigma));
        v128.store(job.robust + entry + o, robust);
        v128.store(job.byZ + entry + o, f32x4.mul(byZ, perSigma));
        v128.store(job.byLn + entry + o, f32x4.mul(byLn, perSigma));
        v128.store(job.sigma + entry + o, f32x4.div(one, perSigma));
      }
      sMisfit = plus(q, w, sMisfit);
      sTotal = f32x4.add(sTotal, w);
    }
    heldAll += sumOf(held); costAll += sumOf(cost); misfit += sumOf(sMisfit); total += sumOf(sTotal);
    zz += sumOf(szz); zr += sumOf(szr);
    const zl = sumOf(szl), i = 1 + b;
    store<f64>(own + (i << 3), -zl);
    store<f64>(own + (i << 5), -zl);
    store<f64>(own + i * 40, sumOf(sll));
    store<f64>(own + RIGHT + (i << 3), sumOf(slr));
    for (let n = 0; n < free; n++) {
      const k = load<i32>(job.freeFrame + (n << 2));
      if (k < from || k >= to) continue;
      const g = frames + b * free + n, wzl = load<f32>(into + (k << 2)), wll = load<f32>(line + ((frames + k) << 2)), wlr = load<f32>(line + ((2 * frames + k) << 2));
      store<f32>(at + (g << 2), -wzl);
      store<f32>(into + (g << 2), wll);
      add(job.sums + ((2 + g) << 3), wll);
      add(job.sums + ((2 + slots + g) << 3), wlr);
      add(job.sums + ((2 + 2 * slots + b * free + n) << 3), wzl);
    }
  }
  store<f64>(own, zz);
  store<f64>(own + RIGHT, -zr);
  addTo(job.sums + 16, at, lo, hi, -1);
  addTo(job.sums + ((2 + slots) << 3), line, lo, hi, 1);
  for (let b = 0; b < job.bands - 1; b++) {
    const prior = job.prior + (b << 4), p = load<f64>(job.pull + (t << 3)) * load<f64>(prior, 8), i = 1 + b;
    if (p === 0) continue;
    const e = load<f64>(job.nextLn + ((b * job.tiles + t) << 3)) - load<f64>(job.nextLn + (((b + 1) * job.tiles + t) << 3)) - load<f64>(prior);
    heldAll += 0.5 * p * e * e; costAll += 0.5 * p * e * e;
    add(own + i * 40, p); add(own + i * 40 + 40, p);
    add(own + i * 40 + 8, -p); add(own + i * 40 + 32, -p);
    add(own + RIGHT + (i << 3), -p * e); add(own + RIGHT + (i << 3) + 8, p * e);
  }
  add(job.sums, heldAll);
  add(job.sums + 8, costAll);
  store<f64>(job.misfit + (t << 3), Math.sqrt(misfit / max<f64>(total, 1e-9)));
}

@inline function add(at: usize, value: f64): void { store<f64>(at, load<f64>(at) + value); }

/** Adds some entries of a single-precision line to a double-precision one. */
@inline function addTo(sums: usize, line: usize, from: i32, to: i32, factor: f64): void {
  const by = f64x2.splat(factor);
  for (let k = from; k < to; k += 2) {
    const s = sums + (k << 3);
    v128.store(s, f64x2.add(v128.load(s), f64x2.mul(by, f64x2.promote_low_f32x4(v128.load64_zero(line + (k << 2))))));
  }
}

/** Half the squared residual, beyond Huber's limit its logarithm. */
@inline function lossOf(q: v128, square: v128, half: v128, outer: v128): v128 {
  const beyond = f32x4.gt(q, square), inner = f32x4.mul(half, q);
  if (!v128.any_true(beyond)) return inner;
  const log = f32x4.mul(outer, f32x4.add(f32x4.splat(1), lnOf(f32x4.div(f32x4.max(q, square), square))));
  return v128.bitselect(log, inner, beyond);
}

/** Natural logarithm of normal numbers: exponent and mantissa apart, the series of the area tangent for the mantissa; true to 1e−7. */
@inline function lnOf(x: v128): v128 {
  const exponent = i32x4.shr_s(i32x4.sub(x, i32x4.splat(0x3f3504f3)), 23), mantissa = i32x4.sub(x, i32x4.shl(exponent, 23)), one = f32x4.splat(1);
  const s = f32x4.div(f32x4.sub(mantissa, one), f32x4.add(mantissa, one)), z = f32x4.mul(s, s);
  let sum = plus(z, f32x4.splat(1.0 / 9.0), f32x4.splat(1.0 / 7.0));
  sum = plus(z, sum, f32x4.splat(1.0 / 5.0));
  sum = plus(z, sum, f32x4.splat(1.0 / 3.0));
  sum = plus(z, sum, one);
  return plus(f32x4.add(s, s), sum, f32x4.mul(f32x4.convert_i32x4_s(exponent), f32x4.splat(0.6931471805599453)));
}

function sumOf(v: v128): f64 {
  return <f64>f32x4.extract_lane(v, 0) + <f64>f32x4.extract_lane(v, 1) + <f64>f32x4.extract_lane(v, 2) + <f64>f32x4.extract_lane(v, 3);
}

/** The factor of a tile's damped normal matrix, and what eliminating the tile takes from the frames' system. */
function eliminateTile(job: Solve, t: i32, systems: usize, damping: f64): void {
  const slots = job.slots, frames = job.frames, lineBytes = slots << 2, at = systemOf(job, systems, t), own = at + (lineBytes << 2), l = own + FACTOR;
  factor(own, l, damping);
  const right = own + RIGHT;
  const f0 = load<f64>(right) / load<f64>(l);
  const f1 = (load<f64>(right, 8) - load<f64>(l, 32) * f0) / load<f64>(l, 40);
  const f2 = (load<f64>(right, 16) - load<f64>(l, 64) * f0 - load<f64>(l, 72) * f1) / load<f64>(l, 80);
  const f3 = (load<f64>(right, 24) - load<f64>(l, 96) * f0 - load<f64>(l, 104) * f1 - load<f64>(l, 112) * f2) / load<f64>(l, 120);
  const r0 = f32x4.splat(<f32>f0), r1 = f32x4.splat(<f32>f1), r2 = f32x4.splat(<f32>f2), r3 = f32x4.splat(<f32>f3);
  const d0 = f32x4.splat(<f32>(1 / load<f64>(l))), d1 = f32x4.splat(<f32>(1 / load<f64>(l, 40))), d2 = f32x4.splat(<f32>(1 / load<f64>(l, 80))), d3 = f32x4.splat(<f32>(1 / load<f64>(l, 120)));
  const l10 = f32x4.splat(<f32>load<f64>(l, 32)), l20 = f32x4.splat(<f32>load<f64>(l, 64)), l21 = f32x4.splat(<f32>load<f64>(l, 72));
  const l30 = f32x4.splat(<f32>load<f64>(l, 96)), l31 = f32x4.splat(<f32>load<f64>(l, 104)), l32 = f32x4.splat(<f32>load<f64>(l, 112));
  const reach = job.reach + (t << 3), lo = load<i32>(reach), hi = load<i32>(reach, 4);
  for (let part = 0; part < 2; part++) {
    const from = part ? frames : lo, to = part ? slots : hi;
    for (let s = from; s < to; s += 4) {
      const c = at + (s << 2), w = job.whitened + (s << 2);
      const w0 = f32x4.mul(v128.load(c), d0);
      const w1 = f32x4.mul(less(l10, w0, v128.load(c + lineBytes)), d1);
      const w2 = f32x4.mul(less(l21, w1, less(l20, w0, v128.load(c + 2 * lineBytes))), d2);
      const w3 = f32x4.mul(less(l32, w2, less(l31, w1, less(l30, w0, v128.load(c + 3 * lineBytes)))), d3);
      v128.store(w, w0); v128.store(w + lineBytes, w1); v128.store(w + 2 * lineBytes, w2); v128.store(w + 3 * lineBytes, w3);
      const taken = f32x4.add(plus(w1, r1, f32x4.mul(w0, r0)), plus(w3, r3, f32x4.mul(w2, r2)));
      addWide(job.schurRight + (s << 3), taken);
    }
  }
  addProducts(job, lo, hi, lo, hi);
  if (slots > frames) { addProducts(job, frames, slots, lo, hi); addProducts(job, frames, slots, frames, slots); }
}

@inline function addWide(at: usize, v: v128): void {
  v128.store(at, f64x2.add(v128.load(at), f64x2.promote_low_f32x4(v)));
  v128.store(at, f64x2.add(v128.load(at, 16), f64x2.promote_low_f32x4(v128.shuffle<f32>(v, v, 2, 3, 2, 3))), 16);
}

/** Adds the inner products of the whitened columns of some rows with those of some columns, as far as the lower triangle reaches, two rows at a time. */
function addProducts(job: Solve, fromRow: i32, toRow: i32, fromColumn: i32, toColumn: i32): void {
  const slots = job.slots, lineBytes = slots << 2, w = job.whitened;
  for (let a = fromRow; a < toRow; a += 2) {
    const wa = w + (a << 2), first = job.schur + ((a * slots) << 3), second = first + (slots << 3), end = min(toColumn, a + 2);
    const a0 = v128.load32_splat(wa), a1 = v128.load32_splat(wa + lineBytes), a2 = v128.load32_splat(wa + 2 * lineBytes), a3 = v128.load32_splat(wa + 3 * lineBytes);
    const b0 = v128.load32_splat(wa, 4), b1 = v128.load32_splat(wa + lineBytes, 4), b2 = v128.load32_splat(wa + 2 * lineBytes, 4), b3 = v128.load32_splat(wa + 3 * lineBytes, 4);
    for (let c = fromColumn; c < end; c += 4) {
      const wc = w + (c << 2), c0 = v128.load(wc), c1 = v128.load(wc + lineBytes), c2 = v128.load(wc + 2 * lineBytes), c3 = v128.load(wc + 3 * lineBytes);
      addWide(first + (c << 3), f32x4.add(plus(a1, c1, f32x4.mul(a0, c0)), plus(a3, c3, f32x4.mul(a2, c2))));
      addWide(second + (c << 3), f32x4.add(plus(b1, c1, f32x4.mul(b0, c0)), plus(b3, c3, f32x4.mul(b2, c2))));
    }
  }
}

/** Cholesky factor of a tile's 4 × 4 matrix with its diagonal damped; pivots are lifted as in src/image/cholesky.ts. */
function factor(matrix: usize, l: usize, damping: f64): void {
  for (let j = 0; j < 4; j++) {
    const diagonal = load<f64>(matrix + j * 40) * (1 + damping) + 1e-6;
    let pivot = diagonal;
    for (let k = 0; k < j; k++) { const v = load<f64>(l + (((j << 2) + k) << 3)); pivot -= v * v; }
    const root = Math.sqrt(max<f64>(pivot, 1e-12 * abs<f64>(diagonal) + 1e-300));
    store<f64>(l + j * 40, root);
    for (let i = j + 1; i < 4; i++) {
      let v = load<f64>(matrix + (((i << 2) + j) << 3));
      for (let k = 0; k < j; k++) v -= load<f64>(l + (((i << 2) + k) << 3)) * load<f64>(l + (((j << 2) + k) << 3));
      store<f64>(l + (((i << 2) + j) << 3), v / root);
    }
  }
}

@inline function exp(x: f64): f64 { return NativeMath.exp(x); }
