import type sharp from 'sharp';

let loading: Promise<typeof sharp> | null = null;

/**
 * The picture library, loaded when something asks for it first: it takes a tenth of a second in every thread, and most JPEG frames are measured
 * without it. One thread a picture, nothing kept: pictures are what runs side by side, and memory is what is short.
 */
export function loadSharp(): Promise<typeof sharp> {
  return loading ??= import('sharp').then((library) => {
    library.default.cache(false);
    library.default.concurrency(1);
    return library.default;
  });
}
