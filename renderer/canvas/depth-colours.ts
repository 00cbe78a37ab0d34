import { interpolateInferno, interpolateViridis } from 'd3-scale-chromatic';

/** Perceptually even maps: equal steps in depth look equally large, also to colour-blind eyes and in grey. The bench scheme takes the warm one, without blue light. */
export const depthColour = (bench: boolean): ((share: number) => string) => (bench ? (share) => interpolateInferno(0.2 + 0.72 * share) : interpolateViridis);
