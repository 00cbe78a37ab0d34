export interface ShippedPart { name: string; version: string; licence: string; into: string; place: string }
export const permissive: ReadonlySet<string>;
export const exceptions: readonly { name: RegExp; licence: RegExp; why: string }[];
export function shippedParts(): ShippedPart[];
export function mayShip(part: Pick<ShippedPart, 'name' | 'licence'>): boolean;
