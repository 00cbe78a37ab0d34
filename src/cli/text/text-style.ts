/** How text is laid out: the width to keep to and whether colour may be used. Nothing is ever said by colour alone. */
export interface TextStyle { columns: number; colour: boolean }

export type Paint = 'bold' | 'dim' | 'red' | 'yellow' | 'green';
const codes: Record<Paint, readonly [number, number]> = { bold: [1, 22], dim: [2, 22], red: [31, 39], yellow: [33, 39], green: [32, 39] };

/** Wraps text in terminal colour, or leaves it alone where colour is not wanted. */
export function painted(text: string, paint: Paint, style: TextStyle): string {
  const [on, off] = codes[paint];
  return style.colour ? `\x1b[${on}m${text}\x1b[${off}m` : text;
}
