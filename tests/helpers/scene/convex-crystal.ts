/** A six-sided crystal as the overlap of half-spaces n·(p − origin) ≤ offset; coordinates (row, column, depth) in grid points. */
export interface Crystal {
  origin: Vector;
  axis: Vector;
  faces: Face[];
  /** Reach from the origin, for a quick rejection. */
  reach: number;
  /** 0…1, differs from crystal to crystal. */
  tint: number;
}
export type Vector = [number, number, number];
export interface Face { normal: Vector; offset: number; kind: 'side' | 'tip' }

/** Where a line of sight meets a crystal: entry and exit depth, and which faces. */
export interface Hit { near: number; far: number; entry: number; exit: number }

export interface CrystalShape { origin: Vector; axis: Vector; radius: number; halfLength: number; tipSlope: number; twist: number; tint: number }

/**
 * A hexagonal prism with six-faced tips at both ends.
 * @param shape.tipSlope how much a tip's face gains along the axis per length across it: small = blunt
 */
export function crystalOf(shape: CrystalShape): Crystal {
  const axis = unit(shape.axis);
  const across = unit(cross(axis, Math.abs(axis[2]) < 0.9 ? [0, 0, 1] : [1, 0, 0]));
  const third = cross(axis, across);
  const faces: Face[] = [];
  for (let k = 0; k < 6; k++) {
    const angle = shape.twist + (k * Math.PI) / 3;
    const out = add(scale(across, Math.cos(angle)), scale(third, Math.sin(angle)));
    // Unequal growth: neighbouring faces differ a little in distance.
    const growth = 1 + 0.14 * Math.sin(5.1 * k + 9 * shape.tint);
    faces.push({ normal: out, offset: shape.radius * growth, kind: 'side' });
    for (const end of [1, -1]) {
      const normal = unit(add(scale(out, shape.tipSlope), scale(axis, end)));
      const apex = shape.halfLength * (1 + 0.07 * Math.sin(3.7 * k + 5 * shape.tint + end));
      faces.push({ normal, offset: apex * Math.abs(dot(normal, axis)), kind: 'tip' });
    }
  }
  return { origin: shape.origin, axis, faces, reach: Math.hypot(shape.halfLength, shape.radius) * 1.2, tint: shape.tint };
}

/** Line of sight along +depth through (row, column); null where it misses. */
export function meet(crystal: Crystal, row: number, column: number): Hit | null {
  const r = row - crystal.origin[0], c = column - crystal.origin[1];
  if (r * r + c * c > crystal.reach * crystal.reach) return null;
  const hit: Hit = { near: -Infinity, far: Infinity, entry: -1, exit: -1 };
  for (let k = 0; k < crystal.faces.length; k++) {
    const { normal, offset } = crystal.faces[k];
    const rest = offset - normal[0] * r - normal[1] * c;
    if (Math.abs(normal[2]) < 1e-9) { if (rest < 0) return null; continue; }
    const depth = rest / normal[2];
    if (normal[2] < 0) { if (depth > hit.near) { hit.near = depth; hit.entry = k; } }
    else if (depth < hit.far) { hit.far = depth; hit.exit = k; }
    if (hit.near >= hit.far) return null;
  }
  hit.near += crystal.origin[2];
  hit.far += crystal.origin[2];
  return hit;
}

export function dot(a: Vector, b: Vector): number { return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]; }
export function unit(a: Vector): Vector { const n = Math.hypot(...a); return [a[0] / n, a[1] / n, a[2] / n]; }
function cross(a: Vector, b: Vector): Vector { return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]; }
function add(a: Vector, b: Vector): Vector { return [a[0] + b[0], a[1] + b[1], a[2] + b[2]]; }
function scale(a: Vector, k: number): Vector { return [a[0] * k, a[1] * k, a[2] * k]; }
