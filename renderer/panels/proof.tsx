import type { StackInfo } from '../../src/contract/host.js';
import type { Report } from '../../src/contract/report.js';
import { Crop } from '../parts/crop.js';
import { comparableSharpTile, stepOfTile } from '../state/report-reading.js';

const EDGE_PX = 128;

/** The picked place at 100 %: the frame before, the frame after, and a sharp place of the same slope to compare. */
export function Proof({ report, labels, stack, tile }: { report: Report; labels: readonly string[]; stack: StackInfo; tile: number | null }) {
  if (tile === null) return null;
  const { tiles } = report;
  const step = stepOfTile(report, tile);
  const best = tiles.bestFrame[tile];
  const between = tiles.state[tile] === 'soft' && step !== null ? report.steps[step] : null;
  // What is sharp needs nothing beside it: it would be compared with itself.
  const sharp = tiles.state[tile] === 'sharp' ? null : comparableSharpTile(report, tile);
  const sharpFrame = sharp === null ? null : tiles.bestFrame[sharp];
  const place = (t: number): { row: number; column: number } => ({
    row: Math.min(Math.max(0, Math.floor(t / tiles.columns) * tiles.tilePx + tiles.tilePx / 2 - EDGE_PX / 2), Math.max(0, stack.height - EDGE_PX)),
    column: Math.min(Math.max(0, (t % tiles.columns) * tiles.tilePx + tiles.tilePx / 2 - EDGE_PX / 2), Math.max(0, stack.width - EDGE_PX)),
  });
  const idOf = (frame: number): string | null => stack.frames.find(({ file }) => file === report.stack.frames[frame]?.file)?.frameId ?? null;
  const crop = (frame: number | null, t: number, words: string) => {
    const frameId = frame === null ? null : idOf(frame);
    return frameId === null ? null : <Crop key={words} stackId={stack.stackId} frameId={frameId} {...place(t)} rows={EDGE_PX} columns={EDGE_PX} text={words} />;
  };
  return (
    <section className="proof" aria-label="Proof">
      <h2>Proof, at 100 %</h2>
      <div className="crops">
        {between ? [crop(between.from, tile, `${labels[between.from]}, before`), crop(between.to, tile, `${labels[between.to]}, after`)] : crop(best, tile, best === null ? '' : `${labels[best]}, best here`)}
        {sharp !== null && sharpFrame !== null && crop(sharpFrame, sharp, `${labels[sharpFrame]}, sharp nearby`)}
      </div>
    </section>
  );
}
