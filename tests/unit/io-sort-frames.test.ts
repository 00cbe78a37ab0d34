import { describe, expect, it } from 'vitest';
import { compareFrames } from '../../src/io/sort-frames.js';

const sorted = (...frames: [string, number?][]): string[] =>
  frames.map(([file, captureTimeMs = null]) => ({ file, captureTimeMs })).sort(compareFrames).map((frame) => frame.file);

describe('compareFrames', () => {
  it('counts numbers as numbers', () => expect(sorted(['IMG_10.jpg'], ['IMG_9.jpg'], ['IMG_100.jpg'])).toEqual(['IMG_9.jpg', 'IMG_10.jpg', 'IMG_100.jpg']));
  it('puts a frame before its numbered followers', () => expect(sorted(['a-2.jpg'], ['a.jpg'])).toEqual(['a.jpg', 'a-2.jpg']));
  it('tells names that read alike apart by capture time', () => expect(sorted(['B_01.jpg', 5], ['b_1.JPG', 4])).toEqual(['b_1.JPG', 'B_01.jpg']));
  it('never depends on the order it is given', () => {
    expect(sorted(['A.jpg'], ['a.jpg'], ['a.png'])).toEqual(sorted(['a.png'], ['a.jpg'], ['A.jpg']));
  });
  it('does not let time override names', () => expect(sorted(['2.jpg', 1], ['1.jpg', 2])).toEqual(['1.jpg', '2.jpg']));
});
