import { describe, expect, it } from 'vitest';
import { UserError } from '../../src/contract/errors.js';
import { loadRigCard, parseRigCard } from '../../src/io/rig-card.js';

const card = (change: object): string => JSON.stringify({ schema: 'rungwise.rig/1', name: 'bench, 5x', magnification: 5, ...change });
const lineOf = (text: string): string => {
  try { parseRigCard(text, 'bench.rig.json'); } catch (error) { return (error as UserError).line; }
  return '';
};

describe('parseRigCard', () => {
  it('reads what is known and leaves out what is not', () => {
    expect(parseRigCard(card({ fNumber: 2.8 }), 'bench')).toEqual({ schema: 'rungwise.rig/1', name: 'bench, 5x', magnification: 5, fNumber: 2.8 });
  });
  it('reads a card an editor saved with a byte order mark', () => expect(parseRigCard(`\uFEFF${card({})}`, 'bench').magnification).toBe(5));
  it.each([
    ['cut short', card({}).slice(0, 20), /damaged/],
    ['of a later version', card({ schema: 'rungwise.rig/2' }), /later version.*Update/],
    ['of something else', '{"name":"x"}', /not a rig card/],
    ['no object', '3', /not a rig card/],
    ['with a value out of range', card({ fNumber: 0 }), /"fNumber".*from 0.5 to 64.*Mend/],
    ['with text for a number', card({ magnification: '5' }), /"magnification" must be a number/],
    ['with a misspelt value', card({ magnifcation: 5 }), /does not know "magnifcation"/],
    ['without a name', card({ name: '' }), /"name" must not be empty/],
  ])('refuses a card %s', (_, text, words) => expect(lineOf(text)).toMatch(words));
  it('says where a card is missing', async () => {
    const failure: unknown = await loadRigCard('absent.rig.json').catch((error: unknown) => error);
    expect((failure as UserError).line).toMatch(/absent\.rig\.json.*no such file.*--rig/);
  });
});
