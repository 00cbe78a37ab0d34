const made = new Map<string, CanvasPattern>();

/** {@link drawPattern}, once for each look of it. */
export function hatchPattern(context: CanvasRenderingContext2D, light: string, dark: string, pixelRatio: number, dense: boolean): CanvasPattern | null {
  const key = `${light} ${dark} ${pixelRatio} ${dense}`, known = made.get(key) ?? drawPattern(context, light, dark, pixelRatio, dense);
  if (known) made.set(key, known);
  return known;
}

/**
 * Lines crossing both ways, each light one beside a dark one, so that they show on any picture and in print. Crossed, because cameras lay
 * lines slanted one way over what is overexposed. `dense` lessens the distance.
 */
function drawPattern(context: CanvasRenderingContext2D, light: string, dark: string, pixelRatio: number, dense: boolean): CanvasPattern | null {
  const size = Math.round((dense ? 9 : 13) * pixelRatio);
  const tile = document.createElement('canvas');
  tile.width = tile.height = size;
  const brush = tile.getContext('2d');
  if (!brush) return null;
  const stroke = (colour: string, shift: number): void => {
    brush.strokeStyle = colour;
    brush.lineWidth = 1.4 * pixelRatio;
    brush.beginPath();
    for (const start of [-size, 0, size]) {
      brush.moveTo(start + shift, size);
      brush.lineTo(start + size + shift, 0);
      brush.moveTo(start + shift, 0);
      brush.lineTo(start + size + shift, size);
    }
    brush.stroke();
  };
  stroke(dark, 1.4 * pixelRatio);
  stroke(light, 0);
  return context.createPattern(tile, 'repeat');
}
