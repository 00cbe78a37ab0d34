import type { Messages } from '../../src/contract/channels.js';

/** A host that answers everything with nothing and counts what reached it: for tests of what stands in front of it. */
export function countingBackend(): { backend: Messages; asked: number } {
  const counter = { asked: 0, backend: {
    call: async () => { counter.asked++; return null as never; },
    bytes: async () => { counter.asked++; return { mediaType: 'image/jpeg', bytes: new Uint8Array(1), note: null }; },
    stream: async () => { counter.asked++; },
  } satisfies Messages };
  return counter;
}
