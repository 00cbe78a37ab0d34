/** Factors of assembly/fft32.ts: e^(−2πi·b·k/32) for b = 0 … 3 and k = 0 … 7, real and imaginary parts in turn. */
export const fftFactors = Float32Array.from({ length: 64 }, (_, i) => {
  const angle = (2 * Math.PI * (i >> 4) * ((i >> 1) & 7)) / 32;
  return i & 1 ? -Math.sin(angle) : Math.cos(angle);
});
