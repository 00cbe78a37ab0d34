/**
 * Nodes and weights of Gauss–Legendre quadrature on −1 … 1, by Newton's method on the Legendre polynomial
 * (Abramowitz & Stegun, 25.4.29). Exact for polynomials of degree 2n−1.
 */
export function gaussLegendre(n: number): { nodes: Float64Array; weights: Float64Array } {
  const nodes = new Float64Array(n), weights = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    let x = Math.cos((Math.PI * (i + 0.75)) / (n + 0.5)), slope = 1;
    for (let round = 0; round < 50; round++) {
      let previous = 1, value = x;
      for (let k = 2; k <= n; k++) [previous, value] = [value, ((2 * k - 1) * x * value - (k - 1) * previous) / k];
      slope = (n * (x * value - previous)) / (x * x - 1);
      const change = value / slope;
      x -= change;
      if (Math.abs(change) < 1e-15) break;
    }
    nodes[i] = x;
    weights[i] = 2 / ((1 - x * x) * slope * slope);
  }
  return { nodes, weights };
}
