import { describe, expect, it } from 'vitest';
import { inWindowWords } from '../../renderer/format/window-words.js';

/** Nobody in the window types options: what the engine says of them must read as a sentence about the window's own fields. */
describe('sentences of the engine, said in the window', () => {
  it('names fields in place of options', () => {
    expect(inWindowWords('Check --depth-um and --working-distance, or shoot the depth in parts.')).toBe('Check the depth to cover and the working distance, or shoot the depth in parts.');
  });

  it('leaves out options in brackets and what helps on a command line alone', () => {
    expect(inWindowWords('Give the rail units moved per frame (--units), to find how long a unit really is.')).toBe('Give the rail units moved per frame, to find how long a unit really is.');
    expect(inWindowWords('Give --magnification and --aperture, or a rig card (--rig).')).toBe('Give the magnification and the marked aperture, or a rig card.');
    expect(inWindowWords('Check the name; put it in quotes if it holds spaces.')).toBe('Check the name.');
  });
});
