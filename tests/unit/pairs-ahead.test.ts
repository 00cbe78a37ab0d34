import { readFile } from 'node:fs/promises';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { randomFrom } from '../../src/ladder/statistics.js';
import { useRegistrationKernel } from '../../src/registration/fast-windows.js';
import { pairInPlace, PairsAhead } from '../../src/registration/pairs-ahead.js';
import { registerPair } from '../../src/registration/register-pair.js';
import { IDENTITY } from '../../src/registration/similarity.js';
import { loadRegistrationKernel } from '../../src/simd/registration-kernel.js';

const ROWS = 96, COLUMNS = 130, random = randomFrom(3);
const picture = (): { rows: number; columns: number; pixels: Int16Array } => ({ rows: ROWS, columns: COLUMNS, pixels: Int16Array.from({ length: ROWS * COLUMNS }, (_, i) => 9000 * Math.sin(0.3 * i + 0.02 * (i % COLUMNS)) + 4000 * (random() - 0.5)) });
const kernel = await loadRegistrationKernel(await readFile(new URL('../../dist/simd/register.wasm', import.meta.url)));
afterEach(() => useRegistrationKernel(null));

describe('PairsAhead', () => {
  it('registers each frame with the next two, in whatever order frames come, and none twice', () => {
    const pictures = Array.from({ length: 6 }, picture), frames = pictures.map((one) => ({ ...one, spectra: new Map<number, Float32Array>() })), asked = vi.fn(kernel.phaseShifts);
    useRegistrationKernel({ ...kernel, phaseShifts: asked });
    const ahead = new PairsAhead();
    for (const place of [1, 0, 4, 5, 3, 2]) ahead.add(place, pictures[place]);
    const done = asked.mock.calls.length;
    expect(done).toBeGreaterThan(0);
    // All that a stack in file order asks for is there; what it does not ask for is not.
    for (let i = 0; i < 6; i++) for (const j of [i + 1, i + 2]) if (j < 6) expect(pairInPlace(frames[i], frames[j])).not.toBeUndefined();
    expect(asked.mock.calls.length).toBe(done);
    pairInPlace(frames[0], frames[3]);
    expect(asked.mock.calls.length).toBeGreaterThan(done);
    expect(pairInPlace(frames[2], frames[4])).toEqual(registerPair(frames[2], frames[4], [IDENTITY]));
  });
  it('leaves them for later where there is no kernel', () => {
    const pictures = [picture(), picture()], asked = vi.fn(kernel.phaseShifts), ahead = new PairsAhead();
    pictures.forEach((one, place) => ahead.add(place, one));
    useRegistrationKernel({ ...kernel, phaseShifts: asked });
    pairInPlace({ ...pictures[0], spectra: new Map() }, { ...pictures[1], spectra: new Map() });
    expect(asked).toHaveBeenCalled();
  });
});
