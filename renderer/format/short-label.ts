/** A frame's label cut to what a small place holds; the end stays, where numbers usually stand. */
export const shortLabel = (label: string, most: number): string => (label.length <= most ? label : `…${label.slice(1 - most)}`);
