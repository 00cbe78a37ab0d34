const TONES = { good: [660], thin: [440, 440], gap: [220, 220, 220] } as const;

/** A short sound for the last step: once high for good, twice for thin, three times low for a gap. */
export function playTone(context: AudioContext, kind: keyof typeof TONES): void {
  TONES[kind].forEach((hertz, i) => {
    const at = context.currentTime + i * 0.22;
    const tone = context.createOscillator(), loudness = context.createGain();
    tone.frequency.value = hertz;
    loudness.gain.setValueAtTime(0, at);
    loudness.gain.linearRampToValueAtTime(0.2, at + 0.02);
    loudness.gain.linearRampToValueAtTime(0, at + 0.16);
    tone.connect(loudness).connect(context.destination);
    tone.start(at);
    tone.stop(at + 0.18);
  });
}
