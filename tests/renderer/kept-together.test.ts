import { expect, it } from 'vitest';
import { keptTogether } from '../../renderer/format/kept-together.js';

it('keeps figures and units on one line, and leaves all else to break where it may', () => {
  expect(keptTogether('Move 25.3 rail units (253 µm) away. That is 10 rail units (100 µm) further.')).toBe('Move 25.3 rail units (253\u00a0µm) away. That is 10 rail units (100\u00a0µm) further.');
  expect(keptTogether('8 % of the picture, 1.89 × DOF, 3 mmm')).toBe('8\u00a0% of the picture, 1.89\u00a0× DOF, 3 mmm');
});
