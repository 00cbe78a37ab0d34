/** A sentence's first letter, where a phrase begins one. */
export const capital = (text: string): string => text[0].toUpperCase() + text.slice(1);
