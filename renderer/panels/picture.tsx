import { useEffect, useMemo, useRef, useState, type KeyboardEvent } from 'react';
import type { StackInfo } from '../../src/contract/host.js';
import type { Report } from '../../src/contract/report.js';
import { depthColour } from '../canvas/depth-colours.js';
import { depthImage } from '../canvas/depth-image.js';
import { PicturePainter } from '../canvas/picture-painter.js';
import { PieceLoader } from '../canvas/piece-loader.js';
import { tileArea } from '../canvas/tile-areas.js';
import { usePictureGestures } from '../canvas/use-picture-gestures.js';
import type { PicturePoint } from '../../src/optics/depth-profile.js';
import { depth } from '../format/numbers.js';
import { shortLabel } from '../format/short-label.js';
import { tilesOfMark } from '../state/pick.js';
import { useStore, useWindowState } from '../state/window-context.js';
import type { PictureMode } from '../state/window-state.js';

const PAN_PX = 60;

/** The sharpest tiles put together with the soft areas hatched, or depth, or one frame. Longer than most: canvas, keys and controls meet here. */
export function Picture({ report, labels, stack, scheme }: { report: Report; labels: readonly string[]; stack: StackInfo; scheme: 'light' | 'dark' | 'bench' }) {
  const store = useStore();
  const { mark, tile, pictureMode, pictureRevision, profile, drawing, provisional } = useWindowState();
  const canvas = useRef<HTMLCanvasElement>(null);
  const [painter, setPainter] = useState<PicturePainter | null>(null);
  const [hover, setHover] = useState<number | null>(null);
  const [zoom, setZoom] = useState(0);
  const [problem, setProblem] = useState<{ of: string; message: string } | null>(null);
  const [there, setThere] = useState('');
  const { tiles } = report;

  useEffect(() => {
    const element = canvas.current!;
    const made = new PicturePainter(element);
    made.onView = (shownAt) => setZoom(Math.round(100 * shownAt));
    const observer = new ResizeObserver(([entry]) => made.resize({ width: entry.contentRect.width, height: entry.contentRect.height }));
    observer.observe(element.parentElement!);
    setPainter(made);
    return () => { observer.disconnect(); made.close(); };
  }, []);

  const frame = mark?.kind === 'frame' ? mark.frame : mark?.kind === 'step' ? report.steps[mark.step].from : (tile === null ? null : tiles.bestFrame[tile]) ?? report.stack.order[0] ?? 0;
  const frameId = stack.frames.find(({ file }) => file === report.stack.frames[frame]?.file)?.frameId ?? null;
  const source = pictureMode === 'frame' && frameId !== null ? frameId : 'sharpest';
  // What is said of a picture is said of this one alone.
  const shown = `${stack.stackId} ${source} ${source === 'sharpest' ? pictureRevision : 0}`;
  useEffect(() => {
    if (!painter) return undefined;
    const loader = new PieceLoader(store.host, stack.stackId, source, provisional, () => { setThere(shown); painter.refresh(); }, (message) => setProblem({ of: shown, message }));
    painter.load(loader);
    return () => { painter.load(null); loader.close(); };
    // A new report puts another preview together; one frame stays what it is.
  }, [painter, store, stack.stackId, source, shown, provisional]);

  const soft = useMemo(() => tileArea(tiles, tiles.state.flatMap((s, t) => (s === 'soft' || s === 'beyond-near' || s === 'beyond-far' ? [t] : []))), [tiles]);
  const marked = useMemo(() => (mark ? tileArea(tiles, tilesOfMark(report, mark)) : null), [report, tiles, mark]);
  const range = useMemo((): [number, number] => {
    const depths = tiles.depthDof.filter((d): d is number => d !== null).sort((a, b) => a - b);
    return depths.length === 0 ? [0, 1] : [depths[Math.floor(depths.length * 0.005)], depths[Math.floor((depths.length - 1) * 0.995)]];
  }, [tiles]);
  const depthPicture = useMemo(() => (pictureMode === 'depth' ? depthImage(tiles, range, depthColour(scheme === 'bench')) : null), [tiles, pictureMode, range, scheme]);
  useEffect(() => {
    painter?.show({
      picture: { rows: report.stack.height, columns: report.stack.width }, tiles, depth: depthPicture,
      overlay: { soft: pictureMode === 'soft' ? soft : null, marked: mark?.kind === 'frame' && pictureMode === 'frame' ? null : marked, markedIsSoft: mark?.kind !== 'frame', tile, hover, profile },
      colours: scheme === 'bench' ? { hatchLight: '#f0b95f', hatchDark: '#1a1206', mark: '#ffd489', markUnder: '#000000' } : { hatchLight: '#ffffff', hatchDark: '#1b1b1b', mark: '#ffd23f', markUnder: '#1b1b1b' },
      ground: { light: '#e4e0d6', dark: '#101214', bench: '#060503' }[scheme], tint: scheme === 'bench' ? '#a8743a' : null,
    });
  }, [painter, report, tiles, depthPicture, soft, marked, mark, tile, hover, pictureMode, scheme, profile]);

  const handlers = useMemo(() => ({
    draws: () => store.getState().drawing,
    line: (from: { x: number; y: number }, to: { x: number; y: number }, done: boolean) => {
      const [a, b] = [painter?.pointAt(from.x, from.y), painter?.pointAt(to.x, to.y)];
      if (a && b) store.set({ profile: { from: a, to: b }, ...(done ? { drawing: false } : {}) });
    },
    pan: (dx: number, dy: number) => painter?.pan(dx, dy),
    zoomAt: (factor: number, x: number, y: number) => painter?.zoomAt(factor, x, y),
    tap: (x: number, y: number) => { const at = painter?.tileAt(x, y) ?? null; if (at !== null) store.pickTile(at); },
    doubleTap: (x: number, y: number) => painter?.toggleFull(x, y),
    hover: (x: number | null, y: number | null) => setHover(x === null || y === null ? null : painter?.tileAt(x, y) ?? null),
  }), [painter, store]);
  usePictureGestures(canvas, handlers);

  const step = (rows: number, columns: number): void => {
    const from = tile ?? Math.floor(tiles.rows / 2) * tiles.columns + Math.floor(tiles.columns / 2);
    const row = Math.min(tiles.rows - 1, Math.max(0, Math.floor(from / tiles.columns) + rows)), column = Math.min(tiles.columns - 1, Math.max(0, (from % tiles.columns) + columns));
    store.pickTile(row * tiles.columns + column);
    painter?.reveal((row + 0.5) * tiles.tilePx, (column + 0.5) * tiles.tilePx);
    // While a line is drawn by keyboard, its far end goes with the place.
    if (drawing && profile) store.set({ profile: { from: profile.from, to: middleOf(row * tiles.columns + column) } });
  };
  const middleOf = (t: number): PicturePoint => ({ row: (Math.floor(t / tiles.columns) + 0.5) * tiles.tilePx, column: ((t % tiles.columns) + 0.5) * tiles.tilePx });
  /** Begins a line at the place, ends it where the place is by then. */
  const lineByKey = (): void => {
    if (drawing && profile) store.set({ drawing: false });
    else if (tile !== null) store.set({ drawing: true, profile: { from: middleOf(tile), to: middleOf(tile) } });
  };
  const keys = (event: KeyboardEvent): void => {
    const ways: Record<string, [number, number]> = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] };
    const way = ways[event.key];
    const actions: Record<string, () => void> = { '+': () => painter?.zoomAt(1.5), '=': () => painter?.zoomAt(1.5), '-': () => painter?.zoomAt(1 / 1.5), '0': () => painter?.showWhole(), '1': () => painter?.toggleFull(), 'l': lineByKey, 'Enter': () => { if (drawing) store.set({ drawing: false }); } };
    if (event.key === 'Escape' && (profile || drawing)) { event.stopPropagation(); store.setProfile(null); return; }
    if (!way && !actions[event.key]) return;
    if (event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    if (!way) actions[event.key]();
    else if (event.altKey) painter?.pan(-way[1] * PAN_PX, -way[0] * PAN_PX);
    else step(way[0] * (event.shiftKey ? 8 : 1), way[1] * (event.shiftKey ? 8 : 1));
  };
  const placeDepth = tile === null ? null : tiles.depthDof[tile];
  const modes: [PictureMode, string][] = [['soft', 'Soft area'], ['depth', 'Depth'], ['frame', `Frame ${shortLabel(labels[frame] ?? '', 10)}`]];
  const dofUm = report.optics.dofUm.value;
  return (
    <section className="picture" aria-label="Picture">
      <div className="title">
        <h2>Picture</h2>
        <span className="zoom">{zoom > 0 ? `${zoom} %` : ''}</span>
        <span className="buttons"><button type="button" aria-label="Further away" onClick={() => painter?.zoomAt(1 / 1.5)}>−</button><button type="button" aria-label="Closer" onClick={() => painter?.zoomAt(1.5)}>+</button><button type="button" onClick={() => painter?.showWhole()}>Whole</button><button type="button" onClick={() => painter?.toggleFull()}>100 %</button><button type="button" aria-pressed={drawing} onClick={() => (profile && !drawing ? store.setProfile(null) : store.set({ drawing: !drawing }))}>{profile && !drawing ? 'Remove line' : 'Line'}</button></span>
        <fieldset className="modes"><legend className="hidden">What the picture shows</legend>{modes.map(([mode, name]) => (
          <label key={mode} className={pictureMode === mode ? 'chosen' : ''}><input type="radio" name="picture-mode" checked={pictureMode === mode} onChange={() => store.set({ pictureMode: mode })} />{name}</label>
        ))}</fieldset>
      </div>
      <div className="canvas" tabIndex={0} role="application" aria-label={`Picture, ${marked?.count ?? 0} places marked. Place: ${placeDepth === null ? 'depth unknown' : depth(placeDepth, dofUm)}${tile === null ? '' : `, ${tiles.state[tile]}`}`} data-marked={marked?.count ?? 0} onKeyDown={keys}>
        <canvas ref={canvas} />
        {pictureMode === 'depth' && <DepthScale range={range} dofUm={dofUm} bench={scheme === 'bench'} />}
        {drawing && !profile && <p className="hint">Drag a line across the subject: its depths are drawn below.</p>}
        {provisional && <p className="hint">So far: the sharpest of some of the {report.stack.order.length} frames read, place by place.</p>}
        {there !== shown && !provisional && !drawing && <p className="hint">{source === 'sharpest' ? 'Putting the picture together…' : 'Reading the frame…'}</p>}
        {problem?.of === shown && <p className="problem" role="alert">{problem.message}</p>}
      </div>
    </section>
  );
}

/** The depth map's own scale: nearest at the bottom, as in the ladder. */
function DepthScale({ range, dofUm, bench }: { range: [number, number]; dofUm: number | null; bench: boolean }) {
  const colour = depthColour(bench);
  return (
    <div className="depth-scale" aria-hidden="true">
      <span>{depth(range[1], dofUm)}</span>
      <svg width="14" height="120">{Array.from({ length: 60 }, (_, i) => <rect key={i} x="0" y={118 - 2 * i} width="14" height="2.4" fill={colour(i / 59)} />)}</svg>
      <span>{depth(range[0], dofUm)}</span>
    </div>
  );
}
