import path from 'node:path';

/**
 * Whether a file lies in a folder, however deep. The folder itself does not.
 * @param file, folder absolute, links resolved (which also gives names the case the disk has them in)
 * @param rules of the system's paths: Windows tells no upper from lower case, and its drives and shares have nothing in common
 */
export function isInside(file: string, folder: string, rules: Pick<path.PlatformPath, 'relative' | 'isAbsolute' | 'sep'> = path): boolean {
  const way = rules.relative(folder, file);
  return way !== '' && way !== '..' && !way.startsWith(`..${rules.sep}`) && !rules.isAbsolute(way);
}
