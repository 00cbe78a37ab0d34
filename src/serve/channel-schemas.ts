import { z } from 'zod';
import type { BytesMap, CallMap, StreamMap } from '../contract/channels.js';
import { EXPORT_FORMATS } from '../contract/host.js';

/** What the window may ask, checked at run time: whatever reaches the host is untrusted until it has passed here. */

const text = z.string().max(4096);
const id = z.string().min(1).max(40);
const positive = z.number().finite().positive();
const rigNumbers = z.object({
  magnification: positive.max(50), fNumber: positive.max(128), pupilRatio: positive.max(10), pixelPitchUm: positive.max(30),
  wavelengthNm: positive.min(300).max(1100), railUnitUm: positive.max(1e5), workingDistanceMm: positive.max(1e4),
}).partial();
const cardName = z.string().min(1).max(120);
const rigCard = z.object({ name: cardName, cameraModel: z.string().max(120).optional(), values: rigNumbers });
const settings = z.object({
  entered: rigNumbers, rigCard: rigCard.nullable(), overlap: z.number().min(0).max(0.9), outputWidthPx: z.number().int().min(16).max(100_000).nullable(),
});
const nothing = z.null();
const pixels = z.number().int().min(0).max(1_000_000);

type SchemasOf<M> = { [N in keyof M]: z.ZodType<M[N] extends { ask: infer A } ? A : never> };

export const callSchemas: SchemasOf<CallMap> = {
  'start': nothing,
  'pick-folder': nothing,
  'list-folders': z.object({ folder: text.nullable() }),
  'locate-drop': z.object({ name: z.string().min(1).max(255), files: z.array(z.string().max(255)).max(50) }),
  'open-stack': z.object({ folder: text.min(1) }),
  'recent-stacks': nothing,
  'forget-stack': z.object({ folder: text }),
  'rail': z.object({ stackId: id, request: z.object({ commandedUm: positive.max(1e5).nullable(), unitsPerFrame: positive.max(1e5).nullable(), tiltDeg: positive.max(85).nullable() }) }),
  'rig-cards': nothing,
  'save-rig-card': z.object({ card: rigCard }),
  'rename-rig-card': z.object({ name: cardName, to: cardName }),
  'delete-rig-card': z.object({ name: cardName }),
  'export': z.object({ stackId: id, format: z.enum(EXPORT_FORMATS), settings }),
};

export const streamSchemas: SchemasOf<StreamMap> = {
  'analyse': z.object({ stackId: id, settings }),
  'regrade': z.object({ stackId: id, settings }),
  'watch': z.object({ folder: text.min(1), settings }),
};

export const bytesSchemas: SchemasOf<BytesMap> = {
  'picture': z.object({
    stackId: id, picture: id, level: z.number().int().min(0).max(16), row: pixels, column: pixels,
    rows: z.number().int().min(1).max(2048), columns: z.number().int().min(1).max(2048),
  }),
};
