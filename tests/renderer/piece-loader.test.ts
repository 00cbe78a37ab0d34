import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { PieceLoader } from '../../renderer/canvas/piece-loader.js';
import { pieceKey, type Piece } from '../../renderer/canvas/visible-tiles.js';
import type { Host, PictureRequest } from '../../src/contract/host.js';

const piece = (level: number, column = 0): Piece => ({ level, row: 0, column });
const COARSE = piece(4);
let asked: PictureRequest[], letGo: number[], loader: PieceLoader, host: Host;

beforeEach(() => {
  vi.useFakeTimers();
  vi.stubGlobal('createImageBitmap', async () => ({ close: () => undefined }));
  asked = [];
  letGo = [];
  const picture: Host['picture'] = async (request, signal) => {
    asked.push(request);
    signal?.addEventListener('abort', () => letGo.push(request.level));
    // The coarsest comes at once, finer ones take their time.
    if (request.level < 4) await new Promise((resolve) => setTimeout(resolve, 1000));
    return { blob: new Blob([]), note: null };
  };
  host = { picture } as Partial<Host> as Host;
  loader = new PieceLoader(host, 'stack', 'sharpest', false, () => undefined, () => undefined);
});
afterEach(() => { loader.close(); vi.useRealTimers(); vi.unstubAllGlobals(); });

const levels = (): number[] => asked.map(({ level }) => level);
const pass = (ms: number): Promise<unknown> => vi.advanceTimersByTimeAsync(ms);

describe('pieces of a picture', () => {
  it('are fetched at once where the picture opens', async () => {
    loader.want([COARSE, piece(2, 0), piece(2, 1)], 0.2);
    await pass(1);
    expect(levels()).toEqual([4, 2, 2]);
    expect(loader.piece(COARSE)).toBeDefined();
    await pass(1000);
    expect(loader.piece(piece(2, 1))).toBeDefined();
  });

  it('are not fetched at levels that are only passed through, and let go of where they were being fetched', async () => {
    loader.want([COARSE, piece(0)], 1);
    await pass(10);
    for (const level of [1, 2, 3]) { loader.want([COARSE, piece(level)], 2 ** -level); await pass(16); }
    expect(levels()).toEqual([4, 0]);
    expect(letGo).toEqual([0]);
    await pass(100);
    expect(levels()).toEqual([4, 0, 3]);
  });

  it('are not fetched as long as the zoom changes, however long it stays within one level', async () => {
    loader.want([COARSE, piece(3)], 0.125);
    await pass(10);
    for (let zoom = 0.25; zoom < 0.5; zoom += 0.02) { loader.want([COARSE, piece(1)], zoom); await pass(40); }
    expect(levels()).toEqual([4, 3]);
    await pass(100);
    expect(levels()).toEqual([4, 3, 1]);
  });

  it('are fetched without delay while the picture is dragged at one level', async () => {
    loader.want([COARSE, piece(0, 0)], 1);
    await pass(1);
    for (const column of [1, 2]) { loader.want([COARSE, piece(0, column - 1), piece(0, column)], 1); await pass(1); }
    expect(asked.map((each) => pieceKey({ level: each.level, row: each.row / 512, column: each.column / 512 }))).toEqual(['4/0/0', '0/0/0', '0/0/1', '0/0/2']);
  });

  it('are fetched at the coarsest level alone while frames are still read', async () => {
    const early = new PieceLoader(host, 'stack', 'sharpest', true, () => undefined, () => undefined);
    early.want([COARSE, piece(2, 0), piece(2, 1)], 0.2);
    await pass(200);
    expect(levels()).toEqual([4]);
    early.close();
  });

  it('are waited for no more once the picture is closed', async () => {
    loader.want([COARSE, piece(0)], 1);
    await pass(1);
    loader.want([COARSE, piece(1)], 0.5);
    loader.close();
    await pass(500);
    expect(levels()).toEqual([4, 0]);
  });
});
