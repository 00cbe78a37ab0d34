import path from 'node:path';

/** File name endings read as frames, in any case. */
const pictureEndings = new Set(['.jpg', '.jpeg', '.jpe', '.png', '.tif', '.tiff', '.webp', '.avif', '.heic', '.heif', '.hif']);
/** Raw files, judged by the JPEG that the camera put into them. Builds that are not known are named, with what to do, rather than passed over. */
const rawEndings = new Set(['.nef', '.nrw', '.cr2', '.cr3', '.crw', '.arw', '.sr2', '.srf', '.raf', '.orf', '.ori', '.rw2', '.rwl', '.pef', '.dng',
  '.3fr', '.fff', '.iiq', '.srw', '.x3f', '.erf', '.kdc', '.dcr', '.mrw', '.mef', '.mos', '.gpr']);
/** What sharp may report for pictures; anything else in such a file (SVG, PDF, animation) is no frame. */
const frameContents = new Set(['jpeg', 'png', 'tiff', 'webp', 'heif']);

const ending = (name: string): string => path.extname(name).toLowerCase();

export const isRawName = (name: string): boolean => rawEndings.has(ending(name));
/** Hidden files, among them the "._" companions some systems write, are nobody's frames. */
export const isFrameName = (name: string): boolean => !path.basename(name).startsWith('.') && (pictureEndings.has(ending(name)) || isRawName(name));
export const isFrameContent = (format: string | undefined): boolean => format !== undefined && frameContents.has(format);
