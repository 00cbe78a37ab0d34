/** Maps centred (row, column) of a reference frame to centred (row, column) of another: scale e^lnScale, turn, shift. Pixels as the context says. */
export interface Similarity { row: number; column: number; turn: number; lnScale: number }

export const IDENTITY: Similarity = { row: 0, column: 0, turn: 0, lnScale: 0 };

/** Cosine and sine of the turn, each times the scale: for many points at a time. */
export function turnOf(p: Similarity): { cosine: number; sine: number } {
  const scale = Math.exp(p.lnScale);
  return { cosine: scale * Math.cos(p.turn), sine: scale * Math.sin(p.turn) };
}

export function applySimilarity(p: Similarity, row: number, column: number): { row: number; column: number } {
  const { cosine, sine } = turnOf(p);
  return { row: cosine * row - sine * column + p.row, column: sine * row + cosine * column + p.column };
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
