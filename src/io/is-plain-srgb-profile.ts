/**
 * Whether a colour profile is that of sRGB with its own tone curve.
 * @param profile its bytes as Latin-1 text
 */
export function isPlainSrgbProfile(profile: string): boolean {
  const text = profile.replaceAll('\0', '');
  // Profiles with its primaries and another tone curve carry its name too.
  return text.includes('sRGB') && !/linear|gamma|g10/i.test(text);
}
