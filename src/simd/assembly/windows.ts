// AssemblyScript, compiled to SIMD WebAssembly by scripts/build.mjs: the windows of one frame and band as src/ladder/windows-in-focus.ts adds them up, by the same arithmetic;
// tests/unit/fast-spectrum.test.ts holds the two together.

/** What is the same for all windows of a frame; written by src/ladder/fast-windows.ts, which lists the fields in the same order. First the numbers, f64. */
@unmanaged class Frame {
  cosine: f64; sine: f64; downPx: f64; acrossPx: f64; halfRows: f64; halfColumns: f64; tilePx: f64;
  /** Position of the frame; places of the OTF table a ladder unit, and its last. */
  z: f64; defocusStep: f64; lastDefocus: f64;
  /** Pixels from a window's middle to the first depth read, and on to the next; measured pixels a pixel of the window's. */
  reach: f64; stride: f64; scale: f64;
  /** Least depths known, least energy left in the band; energy gain, noise energy. */
  fewest: f64; leastEnergy: f64; exposure: f64; noise: f64;
  gridRows: i32; gridColumns: i32; edge: i32; windows: i32; bins: i32; most: i32; firstBin: i32; lastBin: i32; centreLine: i32;
  /** f64: depth a tile; OTF², frequency × defocus; white noise a bin. i32: where each bin's line of the OTF table starts. */
  depth: usize; squared: usize; white: usize; lines: usize;
  /** f32: row and column a window, and window × bin. */
  row: usize; column: usize; power: usize;
  /** i32: room for the places read. */
  places: usize;
  /** f64 a bin. */
  top: usize; bottom: usize; noisy: usize;
}

@inline function at(values: usize, i: i32): f64 { return load<f64>(values + (i << 3)); }
@inline function add(values: usize, i: i32, value: f64): void { store<f64>(values + (i << 3), at(values, i) + value); }

function meanOf(frame: Frame, line: i32, known: i32): f64 {
  let sum: f64 = 0;
  for (let i = 0; i < known; i++) sum += at(frame.squared, line + load<i32>(frame.places + (i << 2)));
  return sum / <f64>known;
}

/** @returns windows that were near enough to focus */
export function addWindows(frame: Frame): i32 {
  const edge = frame.edge, bins = frame.bins, white = frame.white;
  let taken = 0;
  for (let w = 0; w < frame.windows; w++) {
    const startDown = <f64>load<f32>(frame.row + (w << 2)) * frame.scale - frame.reach - frame.halfRows, startAcross = <f64>load<f32>(frame.column + (w << 2)) * frame.scale - frame.reach - frame.halfColumns;
    let known = 0;
    for (let i = 0; i < edge; i++) for (let j = 0; j < edge; j++) {
      const down = startDown + <f64>i * frame.stride, across = startAcross + <f64>j * frame.stride;
      const r = <i32>Math.floor((frame.cosine * down - frame.sine * across + frame.downPx + frame.halfRows) / frame.tilePx), c = <i32>Math.floor((frame.sine * down + frame.cosine * across + frame.acrossPx + frame.halfColumns) / frame.tilePx);
      if (r < 0 || c < 0 || r >= frame.gridRows || c >= frame.gridColumns) continue;
      const defocus = abs(frame.z - at(frame.depth, r * frame.gridColumns + c));
      // Rounded as Math.round does: halves up.
      if (defocus >= 0) store<i32>(frame.places + (known++ << 2), <i32>min(frame.lastDefocus, Math.floor(defocus / frame.defocusStep + 0.5)));
    }
    if (<f64>known < frame.fewest) continue;
    const left = meanOf(frame, frame.centreLine, known) / at(frame.squared, frame.centreLine);
    if (left < frame.leastEnergy) continue;
    taken++;
    const power = frame.power + ((w * bins) << 2);
    let strength = 1e-12;
    for (let i = frame.firstBin; i <= frame.lastBin; i++) strength += <f64>load<f32>(power + (i << 2)) * frame.exposure;
    const share = left / strength, noise = share * frame.noise;
    for (let i = 0; i < frame.most; i++) {
      const line = load<i32>(frame.lines + (i << 2)), taint = noise * at(white, i);
      add(frame.noisy, i, taint);
      add(frame.top, i, share * <f64>load<f32>(power + (i << 2)) * frame.exposure - taint);
      add(frame.bottom, i, (share * meanOf(frame, line, known)) / at(frame.squared, line));
    }
  }
  return taken;
}
