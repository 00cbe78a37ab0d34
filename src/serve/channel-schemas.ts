import en from 'zod/v4/locales/en.js';
import * as z from 'zod/mini';
import type { BytesMap, CallMap, StreamMap } from '../contract/channels.js';
import { EXPORT_FORMATS } from '../contract/host.js';

/** What the window may ask, checked at run time: whatever reaches the host is untrusted until it has passed here. */

z.config(en());

const longest = (most: number): z.ZodMiniString => z.string().check(z.maxLength(most)), between = (least: number, most: number): z.ZodMiniString => z.string().check(z.minLength(least), z.maxLength(most));
const text = longest(4096);
const id = between(1, 40);
const positive = (most: number, least = 0): z.ZodMiniNumber => z.number().check(z.positive(), z.minimum(least), z.maximum(most));
const whole = (least: number, most: number): z.ZodMiniNumber => z.int().check(z.minimum(least), z.maximum(most));
const rigNumbers = z.partial(z.object({
  magnification: positive(50), fNumber: positive(128), pupilRatio: positive(10), pixelPitchUm: positive(30),
  wavelengthNm: positive(1100, 300), railUnitUm: positive(1e5), workingDistanceMm: positive(1e4),
}));
const cardName = between(1, 120);
const rigCard = z.object({ name: cardName, cameraModel: z.optional(longest(120)), values: rigNumbers });
const settings = z.object({
  entered: rigNumbers, rigCard: z.nullable(rigCard), overlap: z.number().check(z.minimum(0), z.maximum(0.9)), outputWidthPx: z.nullable(whole(16, 100_000)),
});
const nothing = z.null();
const pixels = whole(0, 1_000_000);

type SchemasOf<M> = { [N in keyof M]: z.ZodMiniType<M[N] extends { ask: infer A } ? A : never> };

export const callSchemas: SchemasOf<CallMap> = {
  'start': nothing,
  'pick-folder': nothing,
  'list-folders': z.object({ folder: z.nullable(text) }),
  'locate-drop': z.object({ name: between(1, 255), files: z.array(longest(255)).check(z.maxLength(50)) }),
  'open-stack': z.object({ folder: between(1, 4096) }),
  'recent-stacks': nothing,
  'forget-stack': z.object({ folder: text }),
  'rail': z.object({ stackId: id, request: z.object({ commandedUm: z.nullable(positive(1e5)), unitsPerFrame: z.nullable(positive(1e5)), tiltDeg: z.nullable(positive(85)) }) }),
  'rig-cards': nothing,
  'save-rig-card': z.object({ card: rigCard }),
  'rename-rig-card': z.object({ name: cardName, to: cardName }),
  'delete-rig-card': z.object({ name: cardName }),
  'export': z.object({ stackId: id, format: z.enum(EXPORT_FORMATS), settings }),
};

export const streamSchemas: SchemasOf<StreamMap> = {
  'analyse': z.object({ stackId: id, settings }),
  'regrade': z.object({ stackId: id, settings }),
  'watch': z.object({ folder: between(1, 4096), settings }),
};

export const bytesSchemas: SchemasOf<BytesMap> = {
  'picture': z.object({
    stackId: id, picture: id, level: whole(0, 16), row: pixels, column: pixels,
    rows: whole(1, 2048), columns: whole(1, 2048),
  }),
};
