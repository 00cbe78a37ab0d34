/** The lens and sensor a stack is rendered with. */
export interface Lens {
  magnification: number;
  fNumber: number;
  pupilRatio: number;
  pixelPitchUm: number;
  wavelengthUm: number;
  pupilToSubjectUm: number;
  /** Spherical aberration W040 at the pupil's edge in waves; 0 for a perfect lens. */
  sphericalWaves: number;
}

export const BENCH_LENS: Lens = {
  magnification: 5, fNumber: 2.8, pupilRatio: 1, pixelPitchUm: 3.9, wavelengthUm: 0.55, pupilToSubjectUm: 65_000, sphericalWaves: 0,
};

/** N (1 + m/P), from optics-reference: effective f-number. */
export function effectiveFNumberOf(lens: Lens): number { return lens.fNumber * (1 + lens.magnification / lens.pupilRatio); }

/** λ/NA² in µm with NA = m/(2 N_eff): the renderer's unit of depth. */
export function depthUnitUm(lens: Lens): number {
  const aperture = lens.magnification / (2 * effectiveFNumberOf(lens));
  return lens.wavelengthUm / aperture ** 2;
}

/** Cutoff p/(λ N_eff) in cycles per pixel; may exceed 0.5. */
export function cutoffPerPixel(lens: Lens): number { return lens.pixelPitchUm / (lens.wavelengthUm * effectiveFNumberOf(lens)); }
