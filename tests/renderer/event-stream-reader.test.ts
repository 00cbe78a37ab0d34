import { describe, expect, it } from 'vitest';
import { eventStreamReader } from '../../renderer/host/event-stream-reader.js';

/** What an event stream is: the HTML standard, "Server-sent events", section 9.2.6 (comments, joined data lines, blank line ends an event). */
describe('eventStreamReader', () => {
  const text = ': a comment\n\nevent: event\ndata: {"µm":"12 µm – 鉱物"}\n\nevent: end\ndata: null\n\ndata: one\ndata: two\n\n';
  const expected = [['event', '{"µm":"12 µm – 鉱物"}'], ['end', 'null'], ['message', 'one\ntwo']];

  it.each([1, 2, 3, 7, 1000])('gives the same events in pieces of %i bytes, also inside a letter', (size) => {
    const seen: [string, string][] = [];
    const read = eventStreamReader((kind, data) => seen.push([kind, data]));
    const bytes = new TextEncoder().encode(text);
    for (let i = 0; i < bytes.length; i += size) read(bytes.subarray(i, i + size));
    expect(seen).toEqual(expected);
  });

  it('keeps an unfinished event back', () => {
    const seen: string[] = [];
    eventStreamReader((kind) => seen.push(kind))(new TextEncoder().encode('event: event\ndata: 1\n'));
    expect(seen).toEqual([]);
  });
});
