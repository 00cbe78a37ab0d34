import type { BytesMap, Messages } from '../contract/channels.js';
import { UserError } from '../contract/errors.js';
import { bytesSchemas, callSchemas, streamSchemas } from './channel-schemas.js';

/** Messages from a window as they come: names and contents still to be checked. */
export interface UncheckedMessages {
  call(name: string, ask: unknown): Promise<unknown>;
  stream(name: string, ask: unknown, onEvent: (event: unknown) => void, signal: AbortSignal): Promise<void>;
  bytes(name: string, ask: unknown, signal?: AbortSignal): Promise<BytesMap['picture']['answer']>;
}

/** Lets only declared messages with well-formed contents through to the backend. */
export function checkedMessages(backend: Messages): UncheckedMessages {
  return {
    call: async (name, ask) => backend.call(...checked(callSchemas, name, ask)),
    stream: async (name, ask, onEvent, signal) => backend.stream(...checked(streamSchemas, name, ask), onEvent, signal),
    bytes: async (name, ask, signal) => backend.bytes(...checked(bytesSchemas, name, ask), signal),
  };
}

/** The name and contents, typed as the map says; the cast is sound because both were just looked up and parsed. */
function checked<S extends object>(schemas: S, name: string, ask: unknown): [never, never] {
  if (!Object.hasOwn(schemas, name)) throw new UserError('The window asked for something this version does not know.', 'Reload the window.');
  const schema = (schemas as Record<string, { safeParse(value: unknown): { success: boolean; data?: unknown; error?: { issues: { path: PropertyKey[]; message: string }[] } } }>)[name];
  const parsed = schema.safeParse(ask);
  if (!parsed.success) {
    const issue = parsed.error?.issues[0];
    throw new UserError(`${issue?.path.join(' ') || name} is out of range: ${issue?.message ?? 'not understood'}.`, 'Enter another value.');
  }
  return [name as never, parsed.data as never];
}
