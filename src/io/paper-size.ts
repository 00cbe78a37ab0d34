/** Countries that print on Letter (Unicode CLDR, paperSize US-Letter). */
const LETTER = new Set(['BZ', 'CA', 'CL', 'CO', 'CR', 'GT', 'MX', 'NI', 'PA', 'PH', 'PR', 'SV', 'US', 'VE']);

/** Paper that the computer's country prints on: by the locale set for paper, for everything or in general, else by the system's. */
export function paperSize(env: Readonly<Record<string, string | undefined>> = process.env): 'A4' | 'letter' {
  const named = env['LC_ALL'] || env['LC_PAPER'] || env['LANG'] || new Intl.DateTimeFormat().resolvedOptions().locale;
  const country = /^[a-z]{2,3}[-_]([A-Z]{2})\b/.exec(named)?.[1];
  return country !== undefined && LETTER.has(country) ? 'letter' : 'A4';
}
