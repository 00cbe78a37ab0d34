import { randomUUID } from 'node:crypto';
import { CancelledError, UserError } from '../../contract/errors.js';
import { loadSharp } from '../../io/load-sharp.js';
import { pictureInput } from '../../io/picture-input.js';
import { sizeAndTime } from '../analysis/folder-stamp.js';
import { ByteBoundedCache } from './byte-bounded-cache.js';
import { levelSize, type PixelLevel } from './pixel-level.js';
import { takeTurns } from './take-turns.js';

/** Five 24-megapixel frames, or a few hundred reduced ones. */
const CACHE_BYTES = 400_000_000;
const DECODERS = 2;

/** `stamp`: what sizeAndTime said when the folder was opened. */
export interface PictureFile { file: string; path: string; rows: number; columns: number; stamp: string }

/** The memory and the decoders that all open stacks share. */
export interface PictureRoom { cache: ByteBoundedCache<PixelLevel>; inTurn: ReturnType<typeof takeTurns> }
export const pictureRoom = (): PictureRoom => ({ cache: new ByteBoundedCache<PixelLevel>(CACHE_BYTES, (level) => level.pixels.length), inTurn: takeTurns(DECODERS) });

/** Decoded frames at reduced levels, kept in memory up to a bound. JPEG is decoded at the reduced size already, which is what makes panning quick. */
export class FramePictures {
  private readonly own = randomUUID();
  constructor(private readonly files: readonly PictureFile[], private readonly room: PictureRoom = pictureRoom()) {}

  get count(): number { return this.files.length; }
  fileName(index: number): string { return this.files[index].file; }

  /**
   * @param signal fires when nobody waits any more: a frame whose turn has not come by then is not decoded
   * @throws UserError where the frame has gone or can't be decoded any more, CancelledError after the signal
   */
  level(index: number, level: number, signal?: AbortSignal): Promise<PixelLevel> {
    return this.made(`${index}/${level}`, () => this.room.inTurn(() => {
      if (signal?.aborted) throw new CancelledError();
      return this.decode(index, level);
    }), signal);
  }

  /** A level made otherwise (from several frames of this stack), kept in the same cache. */
  async made(key: string, make: () => Promise<PixelLevel>, signal?: AbortSignal): Promise<PixelLevel> {
    for (;;) {
      try {
        return await this.room.cache.get(`${this.own} ${key}`, make);
      } catch (error) {
        // Who asked first has gone, and the making with them; who still waits has it made anew.
        if (!(error instanceof CancelledError) || signal?.aborted) throw error;
      }
    }
  }

  private async decode(index: number, level: number): Promise<PixelLevel> {
    const { file, path, rows, columns, stamp } = this.files[index];
    const size = levelSize(rows, columns, level), now = await sizeAndTime(path);
    if (now === 'gone') throw new UserError(`${file} is not there any more.`, 'If it was moved, put it back; then check again.');
    if (now !== stamp) throw new UserError(`${file} was replaced after it was measured.`, 'Check again to judge it as it is now.');
    try {
      const sharp = await loadSharp();
      let image = sharp(await pictureInput(path), { failOn: 'none', limitInputPixels: 600_000_000 }).autoOrient();
      if (level > 0) image = image.resize({ width: size.columns, height: size.rows, fit: 'fill', fastShrinkOnLoad: true });
      const { data, info } = await image.toColourspace('srgb').removeAlpha().raw({ depth: 'uchar' }).toBuffer({ resolveWithObject: true });
      return { rows: info.height, columns: info.width, pixels: info.channels === 3 ? data : repeatGrey(data, info.channels) };
    } catch {
      throw new UserError(`${file} can't be read any more.`, 'Check that its drive is connected, then check again.');
    }
  }
}

function repeatGrey(data: Uint8Array, channels: number): Uint8Array {
  const count = data.length / channels;
  const pixels = new Uint8Array(count * 3);
  for (let i = 0; i < count; i++) pixels.fill(data[i * channels], i * 3, i * 3 + 3);
  return pixels;
}
