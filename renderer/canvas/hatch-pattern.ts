/** Slanted lines, each light one beside a dark one, so that they show on any picture and in print. `dense` halves the distance. */
export function hatchPattern(context: CanvasRenderingContext2D, light: string, dark: string, pixelRatio: number, dense: boolean): CanvasPattern | null {
  const size = Math.round((dense ? 7 : 10) * pixelRatio);
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
    }
    brush.stroke();
  };
  stroke(dark, 1.4 * pixelRatio);
  stroke(light, 0);
  return context.createPattern(tile, 'repeat');
}
