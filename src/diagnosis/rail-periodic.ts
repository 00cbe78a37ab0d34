import { median } from '../ladder/statistics.js';
import { fitLinear } from './fit-lines.js';

/** Fewer frames than this can't tell a screw's error from chance. */
const LEAST_FRAMES = 24;
/** Periods longer than a third of the run look like drift, shorter than three frames like scatter. */
const LEAST_PERIODS = 3;
const LEAST_FRAMES_A_PERIOD = 3;
const CHANCE = 0.01;
/** Grid of periods tried, cycles in the run; the strongest is looked at again this many times finer. */
const CYCLE_GRID = 0.25;
const FINER = 16;
/** How far a line must stand above the power around it: a rail that wanders has power at every long period. */
const ABOVE_NEIGHBOURS = 6;

/**
 * A regular error of a lead screw: the strongest sine in the residuals of a straight run, if chance would hardly make it.
 *
 * @param travel frames' worth of way, evenly spaced; @param residual of the straight fit, any unit
 * @returns period in frames' worth of way, amplitude in the unit of the residual and the phase of the sine at travel 0, in degrees;
 *   null where there is none, or too few frames.
 *   The chance of so strong a sine in noise is (1 + 2F/ν)^(−ν/2) for an F of 2 and ν degrees of freedom (closed form of its distribution), times the number of periods tried.
 */
export function railPeriodic(travel: readonly number[], residual: readonly number[]): { period: number; amplitude: number; phaseDeg: number } | null {
  const n = travel.length, span = Math.abs(travel[n - 1] - travel[0]);
  if (n < LEAST_FRAMES) return null;
  const flat = fitLinear([travel.map(() => 1), travel.slice()], residual, travel.map(() => 1));
  if (!flat) return null;
  const sine = (cycles: number): Sine | null => {
    const frequency = cycles / span, angle = travel.map((u) => 2 * Math.PI * frequency * u);
    const fit = fitLinear([travel.map(() => 1), travel.slice(), angle.map(Math.sin), angle.map(Math.cos)], residual, travel.map(() => 1));
    return fit && { frequency, power: flat.cost - fit.cost, amplitude: Math.hypot(fit.coefficients[2], fit.coefficients[3]), phaseDeg: (180 / Math.PI) * Math.atan2(fit.coefficients[3], fit.coefficients[2]) };
  };
  const tried: Sine[] = [];
  for (let cycles = LEAST_PERIODS; cycles <= n / LEAST_FRAMES_A_PERIOD; cycles += CYCLE_GRID) tried.push(...[sine(cycles) ?? []].flat());
  const best = strongest(tried);
  const freedom = n - 5;
  const f = best.power / 2 / (Math.max(flat.cost - best.power, 1e-12) / freedom);
  const chance = (n / 2) * (1 + (2 * f) / freedom) ** (-freedom / 2);
  const around = tried.filter(({ frequency }) => Math.abs(frequency - best.frequency) * span > 1.25 && frequency < 2.5 * best.frequency && frequency > best.frequency / 2.5);
  if (best.frequency === 0 || chance > CHANCE || (around.length > 0 && best.power < ABOVE_NEIGHBOURS * median(around.map(({ power }) => power)))) return null;
  const near = Array.from({ length: 2 * FINER + 1 }, (_, i) => sine(best.frequency * span + (CYCLE_GRID * (i - FINER)) / FINER)).filter((found) => found !== null);
  const { frequency, amplitude, phaseDeg } = strongest(near);
  return { period: 1 / frequency, amplitude, phaseDeg };
}

interface Sine { frequency: number; power: number; amplitude: number; phaseDeg: number }

const strongest = (sines: readonly Sine[]): Sine => sines.reduce((a, b) => (b.power > a.power ? b : a), { frequency: 0, power: 0, amplitude: 0, phaseDeg: 0 });
