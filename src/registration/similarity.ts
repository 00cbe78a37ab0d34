/** Maps centred (row, column) of a reference frame to centred (row, column) of another: scale e^lnScale, turn, shift. Pixels as the context says. */
export interface Similarity { row: number; column: number; turn: number; lnScale: number }

export const IDENTITY: Similarity = { row: 0, column: 0, turn: 0, lnScale: 0 };

export function applySimilarity(p: Similarity, row: number, column: number): { row: number; column: number } {
  const scale = Math.exp(p.lnScale), c = scale * Math.cos(p.turn), s = scale * Math.sin(p.turn);
  return { row: c * row - s * column + p.row, column: s * row + c * column + p.column };
}

/** First p, then q. */
export function composeSimilarity(p: Similarity, q: Similarity): Similarity {
  const shift = applySimilarity(q, p.row, p.column);
  return { row: shift.row, column: shift.column, turn: p.turn + q.turn, lnScale: p.lnScale + q.lnScale };
}

export function invertSimilarity(p: Similarity): Similarity {
  const back = applySimilarity({ row: 0, column: 0, turn: -p.turn, lnScale: -p.lnScale }, -p.row, -p.column);
  return { ...back, turn: -p.turn, lnScale: -p.lnScale };
}
