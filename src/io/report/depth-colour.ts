/**
 * Colour of a depth, near to far: dark violet over green-blue to pale sand. Lightness grows evenly, so that the map still reads
 * when printed grey and by those who tell few hues apart. Mixed in OKLab (Ottosson 2020) between three of our own anchors.
 *
 * @param share 0 near … 1 far, clamped
 * @returns red, green, blue 0 … 255
 */
export function depthColour(share: number): [number, number, number] {
  const at = Math.max(0, Math.min(1, share)) * (ANCHORS.length - 1);
  const low = Math.min(ANCHORS.length - 2, Math.floor(at));
  const part = at - low;
  const mixed = ANCHORS[low].map((value, i) => value + (ANCHORS[low + 1][i] - value) * part);
  return srgbOfOklab(mixed[0], mixed[1], mixed[2]);
}

/** Lightness, green–red, blue–yellow; lightness rises by equal amounts. */
const ANCHORS: readonly (readonly [number, number, number])[] = [[0.3, 0.05, -0.09], [0.61, -0.07, -0.03], [0.92, 0, 0.07]];

function srgbOfOklab(lightness: number, a: number, b: number): [number, number, number] {
  const l = (lightness + 0.3963377774 * a + 0.2158037573 * b) ** 3;
  const m = (lightness - 0.1055613458 * a - 0.0638541728 * b) ** 3;
  const s = (lightness - 0.0894841775 * a - 1.291485548 * b) ** 3;
  return [
    byteOf(4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s),
    byteOf(-1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s),
    byteOf(-0.0041960863 * l - 0.7034186147 * m + 1.707614701 * s),
  ];
}

/** IEC 61966-2-1. */
function byteOf(linear: number): number {
  const value = Math.max(0, Math.min(1, linear));
  return Math.round(255 * (value <= 0.0031308 ? 12.92 * value : 1.055 * value ** (1 / 2.4) - 0.055));
}
