import { describe, expect, it } from 'vitest';
import { startWords } from '../../electron/start-words.js';

describe('the words Electron is started with', () => {
  it.each([
    [[], { folder: null, rig: null, printVerdict: false }],
    [['shots', '--rig', 'Bench, 5x'], { folder: 'shots', rig: 'Bench, 5x', printVerdict: false }],
    [['--rig=bench.rig.json', 'my shots', '--print-verdict'], { folder: 'my shots', rig: 'bench.rig.json', printVerdict: true }],
    // Electron's own switches stay Electron's.
    [['--no-sandbox', '--inspect=9229', 'shots'], { folder: 'shots', rig: null, printVerdict: false }],
    [['shots', '--rig'], { folder: 'shots', rig: null, printVerdict: false }],
  ])('%j', (words, expected) => { expect(startWords(words)).toEqual(expected); });
});
