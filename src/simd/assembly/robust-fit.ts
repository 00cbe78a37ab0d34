// AssemblyScript, compiled together with register.ts: plainRobustFit of src/registration/fit-similarity.ts; tests/unit/fast-registration.test.ts holds the two together.
import { select } from './select';

const ROUNDS: i32 = 8;

@inline function at(values: usize, i: i32): f64 { return load<f64>(values + (i << 3)); }

/**
 * @param values f64: five rows of `count`, the windows' expected rows and columns, their displacements, their weights
 * @param room f64: three rows of `count`
 * @param out f64: row, column, turn, growth; units of variance of shifts and of turn; scatter, weights near the fit, all weights
 */
export function robustFit(values: usize, count: i32, room: usize, out: usize): void {
  const bytes = <usize>count << 3, ys = values, xs = ys + bytes, dys = xs + bytes, dxs = dys + bytes, weights = dxs + bytes, robust = room, errors = robust + bytes, kept = errors + bytes;
  let row: f64 = 0, column: f64 = 0, turn: f64 = 0, growth: f64 = 0, shiftUnit: f64 = 0, turnUnit: f64 = 0, scatter: f64 = 1;
  for (let i = 0; i < count; i++) store<f64>(robust + (i << 3), 1);
  for (let round = 0; round < ROUNDS; round++) {
    let all: f64 = 0, sumY: f64 = 0, sumX: f64 = 0, square: f64 = 0, down: f64 = 0, across: f64 = 0, turned: f64 = 0, grown: f64 = 0;
    for (let i = 0; i < count; i++) {
      const w = at(weights, i) * at(robust, i), y = at(ys, i), x = at(xs, i), dy = at(dys, i), dx = at(dxs, i);
      all += w; sumY += w * y; sumX += w * x; square += w * (x * x + y * y);
      down += w * dy; across += w * dx; turned += w * (y * dx - x * dy); grown += w * (y * dy + x * dx);
    }
    all += all * 1e-9 + 1e-12; square += square * 1e-9 + 1e-12;
    const middle = sumX * sumX + sumY * sumY;
    turnUnit = 1 / (square - middle / all); shiftUnit = 1 / (all - middle / square);
    turn = (turned - (sumY * across - sumX * down) / all) * turnUnit; growth = (grown - (sumY * down + sumX * across) / all) * turnUnit;
    row = (down + sumX * turn - sumY * growth) / all; column = (across - sumY * turn - sumX * growth) / all;
    let used = 0;
    for (let i = 0; i < count; i++) {
      const y = at(ys, i), x = at(xs, i), vertical = at(dys, i) - row + x * turn - y * growth, horizontal = at(dxs, i) - column - y * turn - x * growth, error = vertical * vertical + horizontal * horizontal;
      store<f64>(errors + (i << 3), error);
      if (at(weights, i) > 0.05) store<f64>(kept + (used++ << 3), error);
    }
    scatter = 1;
    if (used) { select(kept, used >> 1, used); scatter = at(kept, used >> 1) / 1.39 + 1e-6; }
    for (let i = 0; i < count; i++) store<f64>(robust + (i << 3), 1 / (1 + at(errors, i) / (4 * scatter)));
  }
  let good: f64 = 0, all: f64 = 0;
  for (let i = 0; i < count; i++) { all += at(weights, i); if (at(errors, i) < 4) good += at(weights, i); }
  store<f64>(out, row); store<f64>(out, column, 8); store<f64>(out, turn, 16); store<f64>(out, growth, 24);
  store<f64>(out, shiftUnit, 32); store<f64>(out, turnUnit, 40); store<f64>(out, scatter, 48); store<f64>(out, good, 56); store<f64>(out, all, 64);
}
