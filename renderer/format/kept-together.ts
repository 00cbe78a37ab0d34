const UNIT = /(?<=\d) (?=(?:%|µm|mm|nm|px|DOF|×|EV)(?![\p{L}\d]))/gu;

/** A figure and its unit are never parted by the end of a line. */
export const keptTogether = (text: string): string => text.replace(UNIT, '\u00a0');
