import { describe, expect, it } from 'vitest';
import { addressOf, readAddress } from '../../renderer/state/address-hash.js';
import { INITIAL_STATE, type Mark, type WindowState } from '../../renderer/state/window-state.js';

const stack = { stackId: 's', folder: `/pictures/é "a" & #b?=<i>鉱物`, name: '', width: 1, height: 1, cameraModel: null, frames: [] };
const state = (change: Partial<WindowState>): WindowState => ({ ...INITIAL_STATE, stack, ...change });

describe('the address', () => {
  it.each<Mark>([{ kind: 'frame', frame: 3 }, { kind: 'step', step: 8 }, { kind: 'end', end: 1 }])('brings back folder, mark, place and settings: %o', (mark) => {
    const kept = state({ mark, tile: 512, pictureMode: 'depth', settings: { ...INITIAL_STATE.settings, entered: { magnification: 5, fNumber: 2.8 }, overlap: 0.5 } });
    expect(readAddress(addressOf(kept))).toEqual({ screen: 'stack', folder: stack.folder, mark, tile: 512, pictureMode: 'depth', entered: { magnification: 5, fNumber: 2.8 }, overlap: 0.5 });
  });

  it('leaves out what makes no sense', () => {
    expect(readAddress('#screen=nowhere&step=-1&tile=1e9&end=7&magnification=-2&fNumber=x&overlap=3&picture=%00'))
      .toEqual({ screen: 'stack', folder: null, mark: null, tile: null, pictureMode: 'soft', entered: {}, overlap: null });
    expect(readAddress('')).toMatchObject({ folder: null, mark: null });
  });
});
