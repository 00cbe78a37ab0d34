import path from 'node:path';

/** File name endings read as frames, in any case. */
const frameEndings = new Set(['.jpg', '.jpeg', '.jpe', '.png', '.tif', '.tiff', '.webp']);
/** What sharp may report for them; anything else in such a file (SVG, PDF, animation) is no frame. */
const frameContents = new Set(['jpeg', 'png', 'tiff', 'webp']);
const rawEndings = new Set(['.nef', '.nrw', '.cr2', '.cr3', '.crw', '.arw', '.sr2', '.raf', '.orf', '.ori', '.rw2', '.pef', '.dng', '.3fr', '.iiq']);

const ending = (name: string): string => path.extname(name).toLowerCase();

/** Hidden files, among them the "._" companions some systems write, are nobody's frames. */
export const isFrameName = (name: string): boolean => !name.startsWith('.') && frameEndings.has(ending(name));
export const isRawName = (name: string): boolean => !name.startsWith('.') && rawEndings.has(ending(name));
export const isFrameContent = (format: string | undefined): boolean => format !== undefined && frameContents.has(format);
