/** Time to wait or spent: "8 s", "2 min 05 s". */
export function durationText(ms: number): string {
  if (ms < 9_950) return `${(ms / 1000).toFixed(ms < 950 ? 2 : 1)} s`;
  const seconds = Math.round(ms / 1000);
  return seconds < 100 ? `${seconds} s` : `${Math.floor(seconds / 60)} min ${String(seconds % 60).padStart(2, '0')} s`;
}
